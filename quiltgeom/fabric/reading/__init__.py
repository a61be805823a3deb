"""Reading a swatch: repeat, direction, motif size, loudness, colours and value, from a picture."""
