"""What is printed or put out as text."""
