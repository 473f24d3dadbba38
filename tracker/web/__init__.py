"""The pages: Flask reads what came in, one use case is called, and its answer is shown."""
