"""What is printed: on the label, read back by others' readers, and equal to what was published."""
