"""The commands of the tool, as a person or a script runs them."""
