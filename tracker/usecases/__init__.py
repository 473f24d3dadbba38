"""One function for each thing a person does: fetch, decide, save."""
