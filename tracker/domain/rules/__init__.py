"""The rulebook: each file holds the rows about one subject, with how to tell when a piece breaks them."""
