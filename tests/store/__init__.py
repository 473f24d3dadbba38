"""The store, on both engines."""
