"""A flat display list (the scene) and its back ends: SVG, PNG, PDF."""
