"""What sort of print it is, as a shop sells it."""
