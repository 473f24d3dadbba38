"""Words and code say the same."""
