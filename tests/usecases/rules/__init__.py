"""What may go where: the rulebook, suggestions, food, questions and evidence."""
