"""What is printed: lists and tables as text, chart, shop sheet and template as pages, and the press."""
