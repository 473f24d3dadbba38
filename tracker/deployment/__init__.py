"""Files to run the server with, as `footring deployment-files` writes them."""
