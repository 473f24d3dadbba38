"""Tests of the trade's own values and rules."""
