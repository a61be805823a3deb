"""How a print repeats: lattices, stripes, folded and uneven copies."""
