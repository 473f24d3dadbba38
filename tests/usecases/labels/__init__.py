"""What is printed: stock, bars, print jobs, kinds of document."""
