"""Whole days of the studio in a real Chromium: each person's walk, and every page as its readers get it."""
