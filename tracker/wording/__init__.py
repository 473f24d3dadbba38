"""Messages become text here, last of all, for one reader: the role, the units and the language decide the words."""
