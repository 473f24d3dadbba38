"""An invented college studio, played through the use cases, to look at the tool with something in it."""
