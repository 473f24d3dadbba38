"""Tests of the demo studio."""
