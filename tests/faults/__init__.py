"""What happens when things go wrong: the whole campaign of faults, on both engines."""
