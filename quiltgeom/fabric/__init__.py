"""Swatch pictures: read safely, upright, in real size; made ready for drawing."""
