"""How a block goes together: seams, units, steps, foundation sections, difficulty, pressing."""
