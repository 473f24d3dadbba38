"""What a studio is and has: catalog, materials, kilns, people, settings."""
