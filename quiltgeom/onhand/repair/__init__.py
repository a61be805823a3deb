"""What is wrong with an index, and what can be saved of it."""
