"""One pot and what becomes of it: its stages and steps, code, history, photos, sets, lookup."""
