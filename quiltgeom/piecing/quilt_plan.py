"""How a quilt top goes together: blocks, sashing and borders as the units of one more plan."""

import hashlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from string import capwords

import numpy as np

from quiltgeom.cutting.letters import Letters
from quiltgeom.geometry.congruence import same_shape
from quiltgeom.geometry.outline import Outline
from quiltgeom.geometry.placement import Placement
from quiltgeom.geometry.planar import outline_round, planar_map
from quiltgeom.model.quilt import Piece, Quilt
from quiltgeom.piecing.sewing_plan import Node, SewingPlan, plan_outlines
from quiltgeom.piecing.splits import connected_parts
from quiltgeom.piecing.steps import Steps, sewing_steps
from quiltgeom.tolerance import SAME_CORNER


@dataclass(frozen=True)
class QuiltPart:
    """A block, setting patch, sashing strip or border piece of a quilt top.

    Attributes:
        outline: finished outline in the quilt, inches.
        name: key of the block it is; "" for a single patch.
        look: equal for parts of the same patches in the same fabrics (of the same letters, if they
            are known).
    """

    outline: Outline
    pieces: tuple[int, ...]
    name: str
    look: str


@dataclass(frozen=True)
class QuiltPlan:
    """The parts of a top and the order in which they are sewn together."""

    parts: tuple[QuiltPart, ...]
    plan: SewingPlan
    steps: Steps

    @cached_property
    def rows(self) -> list[Node]:
        """The rows of blocks, first to last; none in a medallion. Sashing between them is none."""
        found = rows_of(self.plan.root)
        parts = found.parts if found else ()
        pieced = any(len(p.faces) > 1 for p in parts)
        return [p for p in parts if len(p.faces) > 1 or not pieced]

    def row_names(self) -> dict[tuple[int, ...], str]:
        """Units that are known by their places: ``"row 3"``, ``"column 1"``."""
        rows = [[self.parts[f].outline.bounds for f in row.faces] for row in self.rows]
        starts = [(min(b[0] for b in row), min(b[1] for b in row)) for row in rows]
        wide, tall = np.ptp(np.array(starts or [(0.0, 0.0)]), axis=0)
        word = "column" if wide > tall + SAME_CORNER else "row"
        return {row.faces: f"{word} {n}" for n, row in enumerate(self.rows, 1) if row.parts}

    def part_names(self) -> list[str]:
        """Of every part its letter, or the name of the block that it is; with a number where blocks
        of one name are not alike."""
        looks: dict[str, dict[str, int]] = {}
        for part in self.parts:
            known = looks.setdefault(part.name, {})
            known.setdefault(part.look, len(known) + 1)

        def name_of(part: QuiltPart) -> str:
            alike = looks[part.name]
            number = f" {alike[part.look]}" if len(alike) > 1 else ""
            return spoken(part.name) + number if part.name else part.look

        return [name_of(part) for part in self.parts]

    def different_blocks(self) -> list[tuple[QuiltPart, int]]:
        """One of each kind of part that is itself pieced, with its number."""
        pieced = [p for p in self.parts if len(p.pieces) > 1]
        count = Counter(p.look for p in pieced)
        first = {p.look: p for p in reversed(pieced)}
        return [(first[look], number) for look, number in count.items()]


def spoken(key: str) -> str:
    """A block's key as people say it.

    >>> spoken("ohio-star")
    'Ohio Star'
    """
    return capwords(key.replace("-", " "))


def plan_quilt(quilt: Quilt, letters: Letters | None = None) -> QuiltPlan:
    """The order of sewing a quilt top: rows of blocks and sashing, then the borders.

    Args:
        letters: of what is cut for it; parts that are single patches then have these.

    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> made = plan_quilt(lay_out(load_patterns().get("harbour-windows"), rows=2, columns=2))
    >>> made.plan.seam_class
    'straight'
    """
    known = letters.pieces if letters else {p.index: p.role for p in quilt}
    parts = [part for pieces in pieces_by_place(quilt) for part in _parts(pieces, known)]
    outlines, looks = [p.outline for p in parts], [p.look for p in parts]
    plan = plan_outlines(outlines, looks)
    made = QuiltPlan(tuple(parts), plan, Steps((), ()))
    steps = sewing_steps(plan, looks, "top", letters=made.part_names(), names=made.row_names())
    return replace(made, steps=steps)


def rows_of(root: Node) -> Node | None:
    """The unit whose parts are the rows of the quilt: the one with most pieced parts side by side,
    of about equal size; None for a medallion.

    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> plan = plan_quilt(lay_out(load_patterns().get("net-menders-chain")))
    >>> len(rows_of(plan.plan.root).parts)
    7
    """
    best, most = None, 1
    for node in reversed(list(root.walk())):
        sizes = sorted(len(p.faces) for p in node.parts if len(p.faces) > 1)
        whole = len(node.joins) == len(node.parts) - 1 and 2 * len(node.faces) > len(root.faces)
        if whole and len(sizes) > most and sizes[-1] <= 1.5 * sizes[len(sizes) // 2]:
            best, most = node, len(sizes)
    return best


def pieces_by_place(quilt: Quilt) -> list[list[Piece]]:
    """The pieces of each block, strip and unit of a border, together."""
    frames: dict[object, list[Piece]] = {}
    for piece in quilt:  # a pieced border is one place, but a row of units
        place = piece.placement
        frames.setdefault((piece.place, place.dx, place.dy, place.turn), []).append(piece)
    return list(frames.values())


def unit_outlines(pieces: Sequence[Piece]) -> list[Outline]:
    """Outlines of the pieces of one block in inches, the block set upright as its file draws it."""
    return [
        p.patch.outline.placed(Placement(scale=p.placement.scale, mirror=p.placement.mirror))
        for p in pieces
    ]


def _parts(pieces: Sequence[Piece], known: Mapping[int, str]) -> list[QuiltPart]:
    """The connected parts of one place; a part with a hole falls into its patches."""
    outlines = [p.outline for p in pieces]
    plan = planar_map(outlines)
    found = []
    for group in connected_parts(plan):
        merged = outline_round(plan, group)
        if merged is not None:
            found.append(_part(merged, [pieces[f] for f in group], known))
        else:
            found += [_part(outlines[f], [pieces[f]], known) for f in group]
    return found


def _part(outline: Outline, pieces: Sequence[Piece], known: Mapping[int, str]) -> QuiltPart:
    labels = [known[p.index] for p in pieces]
    look = same_shape([p.outline for p in pieces], labels) if len(pieces) > 1 else labels[0]
    numbers, block = tuple(p.index for p in pieces), pieces[0].block
    if isinstance(look, str):
        return QuiltPart(outline, numbers, "", look)
    text = hashlib.sha256(repr(look.key).encode()).hexdigest()[:12]  # the same on every machine
    return QuiltPart(outline, numbers, block, f"{block} {text}")
