"""The database's schema, step by step, in numbered migrations that know nothing of the tool."""
