"""Cloth at hand and in the shop: sizes, terms, prices, kits together, the largest version."""
