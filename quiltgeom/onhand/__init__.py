"""What cloth is on hand: swatches read once, kept in an index, ready to be searched."""
