"""Strips and bounds: the shortest length of cloth for a list of rectangles, and the proof."""
