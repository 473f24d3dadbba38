"""What the forms make of what people and programs write."""
