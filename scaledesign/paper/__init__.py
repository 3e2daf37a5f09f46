"""What is printed: hole lists and charts as plain text."""
