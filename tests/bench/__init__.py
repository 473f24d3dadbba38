"""How fast the tool is, as ratios measured in one run."""
