"""How hard a block is to sew, as counts, a plain word, and the reasons for the word."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from quiltgeom.geometry.outline import Outline
from quiltgeom.model.block import Block
from quiltgeom.piecing.congruence import plain_outline, same_shape
from quiltgeom.piecing.plan import SewingPlan, plan_block
from quiltgeom.units import format_inches

__all__ = ["WORDS", "Difficulty", "block_difficulty"]

WORDS = ("first quilt", "comfortable", "experienced", "challenge")

_LIMITS: dict[str, tuple[float, float, float]] = {
    "patches": (25, 60, 120),
    "patches with a bias edge": (12, 40, 100),
    "points to match": (9, 24, 60),
    "partial seams": (0, 1, 4),
}
"""More than this many of them: comfortable / experienced / challenge. Common practice, no
source: a first quilt has few patches, few triangles, and no seam that is not sewn from end to
end; the numbers are set so that blocks usually taught first, second and last come out so."""

_NARROW = (1.5, 1.0, 0.5)
"""A finished patch narrower than this (inches): comfortable / experienced / challenge."""

_SHARP_DEG = 40.0


@dataclass(frozen=True)
class Difficulty:
    """The counts behind the word.

    Attributes:
        level: 0 to 3, index into :data:`WORDS`.
        reasons: what made it so, the weightiest first.
        patches, shapes: how many patches, how many different shapes.
        half_square_triangles: right isosceles triangles that share their long edge with another.
        points: inner corners where four or more seams meet.
        bias_patches: patches with an edge that is not along the block's sides.
        narrowest: width of the narrowest patch, inches.
        sharpest_deg: smallest corner angle of a patch.
        set_in, partial, curved: corners and seams of these kinds.
    """

    level: int
    reasons: tuple[str, ...]
    patches: int
    shapes: int
    half_square_triangles: int
    points: int
    bias_patches: int
    narrowest: float
    sharpest_deg: float
    set_in: int
    partial: int
    curved: int

    @property
    def word(self) -> str:
        """One of :data:`WORDS`."""
        return WORDS[self.level]


def block_difficulty(
    block: Block, size: float = 12.0, plan: SewingPlan | None = None
) -> Difficulty:
    """Difficulty of a block at a finished width in inches.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> get = load_blocks().get
    >>> [block_difficulty(get(k)).word for k in ("nine-patch", "eight-pointed-star")]
    ['first quilt', 'experienced']
    """
    plan = plan or plan_block(block)
    outlines = [plain_outline(p.outline) for p in block.patches]
    scale = size / block.width
    angles = [a for o in outlines for a in _corner_angles(o)]
    bias = sum(any(_is_bias(p, q) for p, q, b in o.edges() if not b) for o in outlines)
    points = sum(inner and len(es) >= 4
                 for inner, es in zip(plan.map.inner, plan.map.around, strict=True))  # fmt: skip
    counts = {"patches": len(outlines), "patches with a bias edge": bias,
              "points to match": points, "partial seams": plan.partial}  # fmt: skip
    narrowest = scale * min(_width(o) for o in outlines)
    found = _reasons(counts, narrowest, min(angles, default=180.0), plan)
    return Difficulty(
        max((level for level, _ in found), default=0), tuple(text for _, text in found),
        len(outlines), len({same_shape([o]).key for o in outlines}), _hst(plan, outlines), points,
        bias, narrowest, min(angles, default=180.0), plan.set_in, plan.partial, plan.curved,
    )  # fmt: skip


def _reasons(
    counts: dict[str, int], narrowest: float, sharpest: float, plan: SewingPlan
) -> list[tuple[int, str]]:
    found: list[tuple[int, str]] = []
    for what, limits in _LIMITS.items():
        level = sum(counts[what] > limit for limit in limits)
        found.append((level, f"{counts[what]} {what}"))
    level = sum(narrowest < limit - 1e-9 for limit in _NARROW)
    found.append((level, f"narrowest patch {format_inches(narrowest)} finished"))
    if plan.set_in:
        found.append((3 if plan.set_in > 12 else 2, f"{plan.set_in} set-in corners"))
    if plan.curved:
        found.append((3 if plan.curved > 16 else 2, f"{plan.curved} curved seams"))
    if sharpest < _SHARP_DEG - 1e-9:
        found.append((2 if sharpest > 20 else 3, f"sharp points ({sharpest:.0f} degrees)"))
    return sorted((f for f in found if f[0]), key=lambda f: (-f[0], f[1]))


def _is_bias(p: tuple[float, float], q: tuple[float, float]) -> bool:
    return min(abs(p[0] - q[0]), abs(p[1] - q[1])) > 1e-6


def _width(outline: Outline) -> float:
    """Shorter side of the smallest rectangle round it: the strip it could be cut from."""
    box = shapely.minimum_rotated_rectangle(outline.polygon)
    (x0, y0), (x1, y1), (x2, y2), *_ = list(box.exterior.coords)
    return min(math.hypot(x1 - x0, y1 - y0), math.hypot(x2 - x1, y2 - y1))


def _corner_angles(outline: Outline) -> list[float]:
    """Inner angles between straight edges, degrees."""
    edges = list(outline.edges())
    out = []
    for one, two in zip(edges[-1:] + edges[:-1], edges, strict=True):
        if not one[2] and not two[2]:
            (ax, ay), (bx, by), (cx, cy) = one[0], one[1], two[1]
            turn = math.atan2(cy - by, cx - bx) - math.atan2(by - ay, bx - ax)
            out.append(180.0 - math.degrees(math.remainder(turn, 2 * math.pi)))
    return out


def _hst(plan: SewingPlan, outlines: Sequence[Outline]) -> int:
    """Squares made of two right isosceles triangles."""
    long_edge = {f: _hypotenuse(o) for f, o in enumerate(outlines)}
    return sum(
        len(e.faces) == 2
        and all(long_edge[f] and abs((long_edge[f] or 0) - e.length) < 1e-6 for f in e.faces)
        for e in plan.map.edges
    )


def _hypotenuse(outline: Outline) -> float | None:
    """Length of the long side of a right isosceles triangle; None for other shapes."""
    if len(outline.points) != 3 or not outline.is_straight:
        return None
    a, b, c = sorted(math.dist(p, q) for p, q, _ in outline.edges())
    return c if abs(a - b) < 1e-6 and abs(c - a * math.sqrt(2)) < 1e-6 else None
