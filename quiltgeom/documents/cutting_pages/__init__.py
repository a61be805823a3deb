"""Diagrams, sheets and folders of a cutting plan."""
