"""The proposal: one value from which every picture, paper, page and verdict is a view."""
