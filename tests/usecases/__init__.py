"""What people do, through the use cases."""
