"""How block files draw: cells of words, patches by corners, expressions for numbers."""
