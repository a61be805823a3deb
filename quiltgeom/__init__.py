"""Patchwork quilt geometry, true-scale mockups of real fabric, and printable templates."""

__version__ = "0.1.0"
