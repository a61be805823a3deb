"""Placed tiles to pieces: the role, the cut and the lie of every patch."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.outline import Outline
from quiltgeom.geometry.placement import QUARTER, Placement
from quiltgeom.model.block import Block
from quiltgeom.model.pattern import Cell, Lie, RoleSpec
from quiltgeom.model.quilt import Piece
from quiltgeom.tolerance import SAME_DEG, SAME_POINT

MAX_PIECES = 200_000
"""More pieces than any quilt has; stops a slip of the pen (rows = 40000) before memory runs out."""


def check_pieces(count: float, what: str) -> None:
    """Refuse a layout of too many pieces.

    Raises:
        QuiltValueError: more than :data:`MAX_PIECES`.
    """
    if count > MAX_PIECES:
        raise QuiltValueError(
            f"{what}: found about {count:.0f} pieces; accepted: up to {MAX_PIECES}"
        )


@dataclass(frozen=True, slots=True)
class PlacedBlock:
    """A block laid somewhere: the only thing that a layout makes.

    Attributes:
        block: roles are those of the pattern.
        placement: block units to inches in the quilt.
        place: where it is, for people.
        lie: overrides the lie of every role in it ("" = each role's own).
    """

    block: Block
    placement: Placement
    place: str
    lie: Lie | str = ""


def turned_in_place(block: Block, cell: Cell, x: float, y: float, scale: float) -> Placement:
    """The placement of a block, turned and mirrored as its cell says, with its middle at (x, y)."""
    turn = Placement(x, y, cell.quarter_turns % 4 * QUARTER, scale, cell.mirror)
    return Placement(-block.width / 2, -block.height / 2).then(turn)


def explode(placed: Iterable[PlacedBlock], roles: Mapping[str, RoleSpec]) -> tuple[Piece, ...]:
    """All patches of all placed blocks as pieces, in order."""
    pieces: list[Piece] = []
    for item in placed:
        for patch in item.block.patches:
            spec = roles[patch.role]
            lie, laid = item.lie or spec.lie, item.placement
            angle = lie_degrees(lie, patch.outline, patch.turn_deg, laid)
            how = (patch.role, spec.cut, angle, item.place, item.block.key)
            pieces.append(Piece(len(pieces), patch, laid, *how))
    return tuple(pieces)


def lie_degrees(lie: str, outline: Outline, turn_deg: float, placement: Placement) -> float:
    """Angle (clockwise, degrees, in (-180, 180]) at which the cloth's up lies in the quilt.

    The cloth itself is never mirrored: a mirrored block is sewn from mirrored shapes cut from
    cloth that lies right side up.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> tall = rectangle(0, 0, 1, 5)
    >>> lie_degrees("strip", tall, 0, Placement()), lie_degrees("block", tall, 0, Placement(turn=6))
    (90.0, 90.0)
    """
    if lie == "upright":
        return 0.0
    sign = -1.0 if placement.mirror else 1.0
    if lie == "block":
        return _half_open(placement.degrees)
    if lie == "unit":
        return _half_open(sign * turn_deg + placement.degrees)
    angle = (sign * run_degrees(outline) + placement.degrees) % 180.0
    return angle - 180.0 if angle > 90.0 + SAME_DEG else angle


def _half_open(angle: float) -> float:
    angle %= 360.0
    return angle - 360.0 if angle > 180.0 else angle


@lru_cache(maxsize=4096)
def run_degrees(outline: Outline) -> float:
    """Direction of the longest straight edge, degrees in [0, 180): the way a strip runs.

    Of equally long edges the one nearest the horizontal counts. An outline of arcs alone runs
    along the longer side of its bounding box.
    """
    best = (0.0, 0.0, 0.0)
    for (x0, y0), (x1, y1), bulge in outline.edges():
        if bulge:
            continue
        angle = math.degrees(math.atan2(y1 - y0, x1 - x0)) % 180.0
        angle = 0.0 if 180.0 - angle < SAME_DEG else angle
        length = round(math.hypot(x1 - x0, y1 - y0), 9)
        best = max(best, (length, -min(angle, 180.0 - angle), angle))
    if best[0] > 0:
        return best[2]
    x0, y0, x1, y1 = outline.bounds
    return 90.0 if y1 - y0 > x1 - x0 + SAME_POINT else 0.0
