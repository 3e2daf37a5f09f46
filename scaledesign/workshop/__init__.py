"""What the bench asks: pure functions over the document and the solver."""
