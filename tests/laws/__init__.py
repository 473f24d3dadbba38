"""What holds after any walk of people and steps."""
