"""The gate and every test behind it."""
