"""What the sides of a cloth are found by."""
