"""Where pieces go in a kiln: shelf geometry, packing, stacking, plans."""
