"""What may be cut how: patches to rectangles of cloth, method by method."""
