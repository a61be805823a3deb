"""Blocks that are not squares, laid by two vectors and trimmed to a rectangle."""

from __future__ import annotations

import math
from dataclasses import replace

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.clip import clip_to_rectangle
from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.model.block import Block, Patch

__all__ = ["lay_by_vectors"]


def lay_by_vectors(
    block: Block, width: float, height: float, *, start: Point = (0.0, 0.0)
) -> list[Patch]:
    """Fill a rectangle with copies of a block, cut straight at the edges.

    Args:
        block: a block with ``tile`` vectors, or a rectangular one.
        width, height: the rectangle, in the block's grid units.
        start: where the corner (0, 0) of one copy's grid lies.

    Returns:
        The patches, which cover the rectangle exactly; those at its edges are part patches.

    Raises:
        QuiltValueError: no vectors, or a size that is not positive.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> patches = lay_by_vectors(load_blocks().get("Clamshell"), 6, 4)
    >>> round(sum(p.outline.area for p in patches), 9)
    24.0
    """
    vectors = block.tile
    if vectors is None and block.is_rectangular:
        vectors = ((block.width, 0.0), (0.0, block.height))
    if vectors is None:
        raise QuiltValueError(f"block {block.key}: found no tile vectors; accepted: tile = [[...]]")
    if not (width > 0 and height > 0):
        raise QuiltValueError(f"lattice: found {width:g} x {height:g}; accepted: above 0")
    out: list[Patch] = []
    for dx, dy in _places(block, vectors, width, height, start):
        for patch in block.patches:
            moved = Outline(
                tuple((x + dx, y + dy) for x, y in patch.outline.points), patch.outline.bulges
            )
            x0, y0, x1, y1 = moved.bounds
            if x0 >= 0 and y0 >= 0 and x1 <= width and y1 <= height:
                out.append(replace(patch, outline=moved))
            elif x1 > 0 and y1 > 0 and x0 < width and y0 < height:
                parts = clip_to_rectangle(moved, width, height)
                out += [replace(patch, outline=part) for part in parts]
    return out


def _places(
    block: Block, vectors: tuple[Point, Point], width: float, height: float, start: Point
) -> list[Point]:
    """Shifts of all copies that reach into the rectangle, row by row."""
    (ax, ay), (bx, by) = vectors
    x0, y0, x1, y1 = block.boundary.bounds
    area = ax * by - ay * bx
    corners = [(x - start[0], y - start[1]) for x in (-x1, width - x0) for y in (-y1, height - y0)]
    rows = [(ax * y - ay * x) / area for x, y in corners]
    columns = [(x * by - y * bx) / area for x, y in corners]
    found = []
    for j in range(math.floor(min(rows)), math.ceil(max(rows)) + 1):
        for i in range(math.floor(min(columns)), math.ceil(max(columns)) + 1):
            dx, dy = start[0] + i * ax + j * bx, start[1] + i * ay + j * by
            if dx + x1 > 0 and dy + y1 > 0 and dx + x0 < width and dy + y0 < height:
                found.append((dx, dy))
    return sorted(found, key=lambda p: (round(p[1], 6), round(p[0], 6)))
