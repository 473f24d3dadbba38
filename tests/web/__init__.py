"""Tests of the pages, through their addresses alone."""
