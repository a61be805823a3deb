"""Reads the block and pattern files into the model, and reports all faults together."""
