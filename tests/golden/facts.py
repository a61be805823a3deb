"""Quilts, places, plans and orders of sewing as small plain data: geometry, numbers, places."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from quiltgeom.cutting.cutting_plan import CutPlan
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Piece, Quilt
from quiltgeom.piecing.difficulty import Difficulty
from quiltgeom.piecing.sewing_plan import SewingPlan
from quiltgeom.piecing.steps import Steps
from quiltgeom.render.mockup import Mockup


def small(key: str, rows: int = 2, columns: int = 2, **changes: Any) -> Quilt:
    """A small quilt of a pattern of the house."""
    return lay_out(load_patterns().get(key), rows=rows, columns=columns, **changes)


def kind_of_place(piece: Piece) -> str:
    """The place without its numbers: ``block``, ``border 1 top``.

    >>> kind_of_place(small("gull-cove").pieces[0])
    'block'
    """
    return re.sub(r" \d+,\d+$|, piece \d+$", "", piece.place)


def tally(values: Iterable[object]) -> dict[str, int]:
    """How often each value comes, sorted by its text.

    >>> tally([2, 1, 2])
    {'1': 1, '2': 2}
    """
    return {str(k): n for k, n in sorted(Counter(values).items(), key=lambda kv: str(kv[0]))}


def outline_facts(piece: Piece) -> dict[str, Any]:
    """Corners of a piece in the quilt, inches; its bulges where an edge is an arc."""
    outline = piece.outline
    curved = {} if outline.is_straight else {"bulges": outline.bulges}
    return {"role": piece.role, "corners": outline.points, **curved}


def quilt_facts(quilt: Quilt, outlines: Iterable[int] = ()) -> dict[str, Any]:
    """Sizes, counts, areas; the outlines of the first piece of every kind, and of those named."""
    first: dict[str, Piece] = {}
    for piece in quilt:
        first.setdefault(f"{kind_of_place(piece)}: {piece.role}", piece)
    shown = {name: outline_facts(p) for name, p in first.items()}
    shown |= {f"piece {i}": outline_facts(quilt.pieces[i]) for i in outlines}
    return {
        "size": [quilt.width, quilt.height],
        "block": quilt.block_size,
        "rows and columns": [quilt.rows, quilt.columns],
        "pieces": len(quilt),
        "pieces by role": quilt.count_by_role,
        "area by role": quilt.area_by_role,
        "pieces by place": tally(kind_of_place(p) for p in quilt),
        "first of each": shown,
    }


def lie_facts(quilt: Quilt) -> dict[str, dict[str, int]]:
    """By role and place: how many pieces lie at which angle."""
    groups: dict[str, list[float]] = {}
    for piece in quilt:
        name = f"{piece.role}, {kind_of_place(piece)}"
        groups.setdefault(name, []).append(round(piece.lie_deg, 6) + 0.0)
    return {name: tally(angles) for name, angles in groups.items()}


def place_facts(made: Mockup, quilt: Quilt, only: str = "") -> list[dict[str, Any]]:
    """Where pieces lie on their cloth: the matrix takes inches of the cloth to the quilt's."""
    return [
        {
            "of": f"{quilt.pieces[i].role}, {quilt.pieces[i].place}",
            "matrix": place.matrix,
            "goes on": place.cloth.kind,
            "beyond": place.beyond,
        }
        for i, place in sorted(made.places.items())
        if only in quilt.pieces[i].place
    ]


def plan_facts(plan: CutPlan) -> dict[str, Any]:
    """By role: rectangles by way of cutting and size (across x along, inches), and the lengths."""
    out: dict[str, Any] = {}
    for f in plan.fabrics:
        units = Counter((p.unit.method, p.unit.width / 8, p.unit.height / 8) for p in f.placed)
        out[f.role] = {
            "cut": {f"{m}, {w:g} x {h:g}": n for (m, w, h), n in sorted(units.items())},
            "turned": sum(p.turned for p in f.placed),
            "length": f.length,
            "status": f.status,
        }
        more = (
            {"pieces on cloth": tally(p.cloth for p in f.placed)}
            if f.cloths
            else {"buy": f.buy, "bound": f.bound}
        )
        out[f.role] |= more
    sets = [
        {"strips": [[r, w] for r, w in s.strips], "slice": s.slice, "slices": s.slices}
        for s in plan.sets
    ]
    return {
        "fabrics": out,
        "binding strips": plan.binding_strips,
        "binding of": plan.binding_role,
        **({"strip sets": sets} if sets else {}),
    }


def sewing_facts(plan: SewingPlan, steps: Steps, roles: Mapping[int, str]) -> dict[str, Any]:
    """The order of sewing as structure: what is joined (number of patches by role), by which
    seams (kind and length), how often."""

    def what(faces: Iterable[int]) -> str:
        return ", ".join(f"{n} {r}" for r, n in tally(roles[f] for f in faces).items())

    rows = [
        {
            "join": [what(part.faces) for part in s.node.parts],
            "seams": [f"{j.kind} {j.length:.4g}" for j in s.node.joins],
            "make": s.count,
            "mirrored": s.mirrored,
            "closes": len(s.node.closes),
        }
        for s in steps
    ]
    return {
        "hardest seam": plan.seam_class,
        "seams": len(plan.joins),
        "set-in corners": plan.set_in,
        "partial seams": plan.partial,
        "proven fewest": plan.proven,
        "curved": plan.curved,
        "steps": rows,
    }


def difficulty_facts(found: Difficulty) -> dict[str, Any]:
    """The level and the counts behind it, without the words."""
    facts = found.facts()
    return {k: v for k, v in facts.items() if k not in ("word", "reasons")}


def house_pattern(key: str) -> Pattern:
    """A pattern of the house."""
    return load_patterns().get(key)
