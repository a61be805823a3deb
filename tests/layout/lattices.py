"""Any rectangle of a block's lattice, for the tests."""

from dataclasses import replace

from quiltgeom.layout.lattice import copies, trimmed, with_neighbours
from quiltgeom.model.block import Block, Patch


def laid(block: Block, w: float, h: float, x: float = 0.0, y: float = 0.0) -> list[Patch]:
    """A rectangle ``(x, y, x + w, y + h)`` of the field as patches, its corner at the origin."""
    out = []
    block = with_neighbours(block)
    for c in copies(block, x + w, y + h):
        box = (x - c.dx, y - c.dy, x + w - c.dx, y + h - c.dy)
        out += [
            replace(p, outline=p.outline.moved(c.dx - x, c.dy - y)) for p in trimmed(block, box)
        ]
    return out
