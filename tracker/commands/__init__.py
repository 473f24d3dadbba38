"""The commands of the tool, each one use case or one file; `tracker/cli.py` puts them together."""
