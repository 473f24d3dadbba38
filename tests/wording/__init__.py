"""Tests of the renderer: what one reader or another reads."""
