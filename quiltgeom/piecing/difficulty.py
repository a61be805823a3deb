"""How hard a block or a quilt is to sew, as counts, a plain word, and the reasons for the word."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from typing import Any

from quiltgeom.geometry.congruence import plain_outline, same_shape
from quiltgeom.geometry.outline import Outline
from quiltgeom.geometry.placement import Placement
from quiltgeom.geometry.planar import planar_map
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.model.block import Block
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Quilt
from quiltgeom.piecing.measures import corner_angles, half_square_triangles, has_bias, strip_width
from quiltgeom.piecing.quilt_plan import QuiltPlan, plan_quilt, unit_outlines
from quiltgeom.piecing.sewing_plan import SewingPlan, plan_block, plan_outlines
from quiltgeom.tolerance import SAME_DEG, SAME_POINT
from quiltgeom.units import INCHES, Ruler

WORDS = ("first quilt", "comfortable", "experienced", "challenge")

_LIMITS: dict[str, tuple[float, float, float]] = {
    "patches": (25, 60, 120),
    "patches with a bias edge": (12, 40, 100),
    "points to match": (9, 24, 60),
    "partial seams": (0, 1, 4),
}
"""In one block more than this many of them: comfortable / experienced / challenge. Common
practice, no source: a first quilt has few patches, few triangles, and no seam that is not sewn
from end to end; the numbers are set so that blocks usually taught first, second and last come
out so."""

_QUILT_LIMITS: dict[str, tuple[float, float, float]] = {
    "patches in all": (400, 1200, 3000),
    "points to match in all": (250, 800, 2000),
    "set-in corners of the setting": (0, 4, 16),
    "partial seams of the setting": (0, 1, 4),
    "curved seams of the setting": (0, 0, 16),
}
"""The same for a whole top (common practice, no source): long work asks for patience, and four
mitred border corners are what a second or third quilt usually learns."""

_NARROW = (1.5, 1.0, 0.5)
"""A finished patch narrower than this (inches): comfortable / experienced / challenge."""

_SHARP_DEG = 40.0


@dataclass(frozen=True)
class Difficulty:
    """The counts behind the word.

    Attributes:
        level: 0 to 3, index into :data:`WORDS`.
        reasons: what made it so, the weightiest first; none for a first quilt.
        patches, shapes: how many patches, how many different shapes.
        half_square_triangles: right isosceles triangles that share their long edge with another.
        points_to_match: inner corners where four or more seams meet.
        bias_patches: patches with an edge that is not along the block's sides.
        narrowest_in: width of the narrowest patch, inches.
        sharpest_deg: smallest corner angle of a patch.
        set_in, partial, curved: corners and seams of these kinds.
        units: of a quilt: (name, how many, difficulty) of each different pieced unit.
    """

    level: int
    reasons: tuple[str, ...]
    patches: int
    shapes: int
    half_square_triangles: int
    points_to_match: int
    bias_patches: int
    narrowest_in: float
    sharpest_deg: float
    set_in: int
    partial: int
    curved: int
    units: tuple[tuple[str, int, Difficulty], ...] = ()

    @property
    def word(self) -> str:
        """One of :data:`WORDS`."""
        return WORDS[self.level]

    @property
    def sentence(self) -> str:
        """The word with its reasons; for a first quilt, what makes it easy."""
        easy = f"{self.patches} patches, every seam straight from edge to edge"
        return f"{self.word}: {'; '.join(self.reasons) or easy}"

    def facts(self) -> dict[str, Any]:
        """As a program wants it."""
        own = {f.name: getattr(self, f.name) for f in fields(self) if f.name != "units"}
        exact = {key: round(own[key], 6) for key in ("narrowest_in", "sharpest_deg")}
        return {"word": self.word, **own, "reasons": list(self.reasons), **exact}


def difficulty_of(subject: Block | Pattern | Quilt, size: float = 12.0) -> Difficulty:
    """How hard anything is to sew: a block at a finished width in inches, a laid-out quilt, or a
    pattern in its usual size.

    >>> from quiltgeom.library.patterns import load_patterns
    >>> difficulty_of(load_patterns().get("harbour-windows")).word
    'first quilt'
    """
    if isinstance(subject, Block):
        return block_difficulty(subject, size)
    return quilt_difficulty(lay_out(subject) if isinstance(subject, Pattern) else subject)


def block_difficulty(
    block: Block, size: float = 12.0, plan: SewingPlan | None = None, ruler: Ruler = INCHES
) -> Difficulty:
    """Difficulty of a block at a finished width in inches.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> get = load_blocks().get
    >>> [block_difficulty(get(k)).word for k in ("nine-patch", "eight-pointed-star")]
    ['first quilt', 'experienced']
    """
    return _unit_difficulty(plan or plan_block(block), size / block.width, ruler)


def _unit_difficulty(plan: SewingPlan, scale: float, ruler: Ruler) -> Difficulty:
    outlines = [plain_outline(o) for o in plan.outlines]
    shapes, bias, narrowest, sharpest = _measured(outlines, scale)
    points = plan.map.meeting_points(4)
    counts = {
        "patches": len(outlines),
        "patches with a bias edge": bias,
        "points to match": points,
        "partial seams": plan.partial,
    }
    reasons = _over(counts, _LIMITS) + _narrow(narrowest, ruler) + _reasons(sharpest, plan)
    ranked = *_ranked(reasons), len(outlines), shapes, half_square_triangles(plan.map, outlines)
    measures = points, bias, narrowest, sharpest
    return Difficulty(*ranked, *measures, plan.set_in, plan.partial, plan.curved)


def quilt_difficulty(quilt: Quilt, plan: QuiltPlan | None = None) -> Difficulty:
    """Difficulty of a whole top: its hardest unit decides, or the setting, or sheer number.

    Args:
        plan: its order of sewing, if it is known already.

    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> found = quilt_difficulty(lay_out(load_patterns().get("barn-lantern")))
    >>> found.word, found.patches, [(name, count) for name, count, _ in found.units][:1]
    ('comfortable', 235, [('evening-star', 12)])
    """
    if plan is None:
        return _known_difficulty(replace(quilt, name="", notes=()))
    units: list[tuple[str, int, SewingPlan]] = []
    for part, count in plan.different_blocks():
        pieces = [quilt.pieces[i] for i in part.pieces]
        made = plan_outlines(unit_outlines(pieces), [p.role for p in pieces])
        units.append((part.name, count, made))
    judged = tuple(
        (name, count, _unit_difficulty(made, 1.0, quilt.ruler)) for name, count, made in units
    )
    points = planar_map([p.outline for p in quilt]).meeting_points(4)
    sizes = {(id(p.patch), p.placement.scale): p.patch.outline for p in quilt}
    outlines = [
        plain_outline(outline.placed(Placement(scale=scale)))
        for (_, scale), outline in sizes.items()
    ]
    shapes, _, narrowest, sharpest = _measured(outlines, 1.0)
    alone = [p for part in plan.parts if not part.name for p in part.pieces]
    bias = sum(has_bias(quilt.pieces[i].patch.outline) for i in alone)
    set_in, partial, curved = (
        getattr(plan.plan, kind) + sum(count * getattr(d, kind) for _, count, d in judged)
        for kind in ("set_in", "partial", "curved")
    )
    counts = {
        "patches in all": len(quilt),
        "points to match in all": points,
        "set-in corners of the setting": plan.plan.set_in,
        "partial seams of the setting": plan.plan.partial,
        "curved seams of the setting": plan.plan.curved,
    }
    hardest = _hardest(judged, narrowest, quilt.ruler)
    bias += sum(n * d.bias_patches for _, n, d in judged)
    triangles = sum(n * d.half_square_triangles for _, n, d in judged)
    ranked = *_ranked(_over(counts, _QUILT_LIMITS) + hardest), len(quilt), shapes, triangles
    measures = points, bias, narrowest, sharpest
    return Difficulty(*ranked, *measures, set_in, partial, curved, judged)


@lru_cache(maxsize=128)
def _known_difficulty(quilt: Quilt) -> Difficulty:
    return quilt_difficulty(quilt, plan_quilt(quilt))


def _hardest(
    units: Sequence[tuple[str, int, Difficulty]], narrowest: float, ruler: Ruler
) -> list[tuple[int, str]]:
    """Reasons of the hardest units; narrow strips that are no part of one."""
    level = max((d.level for _, _, d in units), default=0)
    hardest = [(name.replace("-", " "), d.reasons) for name, _, d in units if d.level == level]
    said = [f"{name}: {reason}" for name, reasons in hardest for reason in reasons if level]
    found = [(level, text) for text in dict.fromkeys(said)]
    if narrowest < min((d.narrowest_in for _, _, d in units), default=math.inf) - SAME_POINT:
        found += _narrow(narrowest, ruler)
    return found


def _measured(outlines: Sequence[Outline], scale: float) -> tuple[int, int, float, float]:
    """How many shapes and patches with a bias edge, the narrowest width, the sharpest angle; each
    shape is looked at once, however often it occurs."""
    one: dict[tuple[object, ...], Outline] = {}
    for o in outlines:
        one.setdefault(same_shape([o]).key, o)
    angles = [a for o in one.values() for a in corner_angles(o)]
    narrowest = scale * min(map(strip_width, one.values()))
    return len(one), sum(map(has_bias, outlines)), narrowest, min(angles, default=180.0)


def _over(
    counts: dict[str, int], limits: dict[str, tuple[float, float, float]]
) -> list[tuple[int, str]]:
    return [
        (sum(counts[what] > limit for limit in limits[what]), _counted(counts[what], what))
        for what in limits
    ]


def _counted(count: int, what: str) -> str:
    """``1 partial seam``, ``3 partial seams of the setting``."""
    if count == 1:
        for many in ("patches", "points", "seams", "corners"):
            what = what.replace(many, many[:-2] if many == "patches" else many[:-1], 1)
    return f"{count} {what}"


def _narrow(narrowest: float, ruler: Ruler) -> list[tuple[int, str]]:
    level = sum(narrowest < limit - SAME_POINT for limit in _NARROW)
    return [(level, f"narrowest patch {ruler.text(narrowest)} finished")]


def _reasons(sharpest: float, plan: SewingPlan) -> list[tuple[int, str]]:
    found = []
    if plan.set_in:
        found.append((3 if plan.set_in > 12 else 2, _counted(plan.set_in, "set-in corners")))
    if plan.curved:
        found.append((3 if plan.curved > 16 else 2, _counted(plan.curved, "curved seams")))
    if sharpest < _SHARP_DEG - SAME_DEG:
        found.append((2 if sharpest > 20 else 3, f"sharp points ({sharpest:.0f} degrees)"))
    return found


def _ranked(found: Sequence[tuple[int, str]]) -> tuple[int, tuple[str, ...]]:
    """The hardest level, and the reasons that raise it at all, the weightiest first."""
    kept = sorted((f for f in found if f[0]), key=lambda f: (-f[0], f[1]))
    return max((level for level, _ in kept), default=0), tuple(text for _, text in kept)
