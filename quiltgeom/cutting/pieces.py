"""From placed patches to the rectangles that are cut from the cloth, with the way of cutting."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from quiltgeom.cutting.constants import foundation_rectangle, foundation_square
from quiltgeom.cutting.items import eighths
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.runs import along_strip, lay_run, look, rounded, settle, slant_note
from quiltgeom.cutting.shapes import (
    CLOSE,
    TURNS,
    CutShape,
    is_rectangle,
    on_cloth,
    triangle_kind,
    with_the_threads,
)
from quiltgeom.cutting.squares import Pool, half_side, halves, quarter_side, quarters
from quiltgeom.cutting.unit import CutUnit, Member, Method
from quiltgeom.geometry.allowance import offset_outline
from quiltgeom.geometry.outline import Outline
from quiltgeom.model.fabric import Direction
from quiltgeom.model.quilt import Piece

__all__ = ["CutUnit", "Member", "Method", "cut_units"]

_LEAST = 0.5
"""Least finished length, inches, of the parts of a strip that is joined end to end."""


def cut_units(
    pieces: Iterable[Piece], direction: Direction, cloth: float, *,
    options: CutOptions | None = None, short: bool = False,
) -> list[CutUnit]:  # fmt: skip
    """Cut rectangles for the patches of one fabric, each patch by itself.

    Half-square triangles come in pairs from squares cut once, quarter-square triangles by fours
    from squares cut twice, as far as the print allows them to be turned; diamonds and other
    slanted patches side by side from strips; rectangles as they are; any other shape from the
    smallest upright rectangle that holds it with its allowance, with a template. Cloth without
    direction is laid with the patch's longest edge along the threads.

    Args:
        pieces: patches of one fabric.
        direction: what turns the print allows.
        cloth: usable width of the cloth in inches; longer strips are joined end to end.
        options: the maker's choices, the seam allowance among them; of its methods ``templates``
            and ``foundation`` matter here.
        short: strips along the cloth as short as they can be; else as few as possible.
    """
    chosen = options or CutOptions()
    cutter = _Cutter(direction, cloth, chosen, short)
    for piece in pieces:
        cutter.add(on_cloth(piece), chosen.method(piece.role))
    return sorted(cutter.units(), key=lambda u: (-u.height, -u.width, u.method,
                                                 u.members[0].piece))  # fmt: skip


class _Cutter:
    """Sorts the patches of one fabric by the way in which they are cut."""

    def __init__(
        self, direction: Direction, cloth: float, options: CutOptions, short: bool
    ) -> None:
        self.turns, self.cloth, self.options = TURNS[direction], cloth, options
        self.short = short
        self.free = direction == "non-directional"
        self.single: list[CutUnit] = []
        self.halves: dict[tuple[int, bool], Pool] = {}
        self.quarters: dict[tuple[int, bool], Pool] = {}
        self.corners: dict[int, Pool] = {}
        self.slanted: dict[object, list[CutShape]] = {}

    def add(self, shape: CutShape, method: str) -> None:
        """Sort a patch in."""
        if self.free:
            shape = with_the_threads(shape)
        template, setting = method == "templates", shape.block == "setting-triangle"
        kind, size, way = ("", 0.0, 0) if template else triangle_kind(shape.outline)
        if method == "foundation" and shape.in_block:
            if kind == "half":
                self.corners.setdefault(round(size * 1e6), []).append((way, shape))
            else:
                self.single.append(_oversize(shape, self.options.seam))
        elif kind == "half":
            self.halves.setdefault((round(size * 1e6), setting), []).append((way, shape))
        elif kind == "quarter":
            self.quarters.setdefault((round(size * 1e6), setting), []).append((way, shape))
        elif template or is_rectangle(shape.outline) or shape.is_border:
            self.single += _single(shape, self.cloth, self.options, self.turns)
        else:
            shape = settle(shape, self.turns, free=self.free)
            self.slanted.setdefault(look(shape.outline), []).append(shape)

    def units(self) -> list[CutUnit]:
        """Every rectangle."""
        out, rule, seam = list(self.single), self.options.rule, self.options.seam
        for (size, setting), group in sorted(self.halves.items()):
            leg = size / 1e6
            side = half_side(leg, seam=seam, setting=setting, rule=rule)
            out += halves(group, leg, self.turns, side, seam=seam)
        for size, corners in sorted(self.corners.items()):
            leg = size / 1e6
            side = foundation_square(leg, seam=seam)
            out += halves(corners, leg, self.turns, side, seam=seam, oversize=True)
        for (size, setting), group in sorted(self.quarters.items()):
            long = size / 1e6
            side = quarter_side(long, seam=seam, setting=setting, rule=rule)
            out += quarters(group, long, self.turns, side, seam=seam)
        for shapes in self.slanted.values():
            out += self._slanted(shapes)
        return out

    def _slanted(self, shapes: list[CutShape]) -> list[CutUnit]:
        seam, outline = self.options.seam, shapes[0].outline
        standing = Outline(tuple((y, x) for x, y in outline.points), outline.bulges)
        for upright, seen in ((True, outline), (False, standing)):
            if len(shapes) > 1 and along_strip(seen):
                runs = lay_run(shapes, self.cloth, seam, halves=2 in self.turns, upright=upright,
                               short=self.short)  # fmt: skip
                return [
                    CutUnit("slanted strip", *rounded(r),
                            tuple(Member(s.shape.piece, s.x, s.y, s.shape.lie) for s in r.slots),
                            r.lines, note=slant_note(r)) for r in runs
                ]  # fmt: skip
        return [u for s in shapes for u in _single(s, self.cloth, self.options, self.turns)]


def _oversize(shape: CutShape, seam: float) -> CutUnit:
    """A rectangle larger than needed, the patch in its middle."""
    x0, y0, x1, y1 = shape.outline.bounds
    w, h = foundation_rectangle(x1 - x0, y1 - y0, seam=seam)
    member = Member(shape.piece, w / 2, h / 2, shape.lie)
    return CutUnit("foundation piece", eighths(w), eighths(h), (member,))


def _single(
    shape: CutShape, cloth: float, options: CutOptions, turns: Sequence[int]
) -> list[CutUnit]:
    outline, seam, may_turn = shape.outline, options.seam, len(turns) == 4
    x0, y0, x1, y1 = outline.bounds
    if shape.block == "mitred-border":
        return _mitred(shape, cloth, options, may_turn)
    if not is_rectangle(outline):
        a0, b0, a1, b1 = offset_outline(outline, seam).bounds
        if a1 - a0 > cloth + CLOSE and (not may_turn or b1 - b0 > cloth + CLOSE):
            return _joined(shape, a1 - a0, b1 - b0, cloth, seam)
        member = Member(shape.piece, (x0 + x1) / 2 - a0, (y0 + y1) / 2 - b0, shape.lie)
        return [CutUnit("template", eighths(a1 - a0), eighths(b1 - b0), (member,))]
    return _strip(shape, x1 - x0 + 2 * seam, y1 - y0 + 2 * seam, "rectangle", cloth, options,
                  may_turn)  # fmt: skip


def _mitred(shape: CutShape, cloth: float, options: CutOptions, may_turn: bool) -> list[CutUnit]:
    """A strip as long as the finished side and both allowances, and something to trim: no less than
    the tips of the allowance at the mitres, which reach (1 + sqrt 2) s beyond the finished side."""
    x0, y0, x1, y1 = shape.outline.bounds
    w, h = x1 - x0 + 2 * options.seam, y1 - y0 + 2 * options.seam
    more = max(options.mitre_extra, 2 * math.sqrt(2) * options.seam)
    w, h = (w + more, h) if w >= h else (w, h + more)
    return _strip(shape, w, h, "mitred border", cloth, options, may_turn)


def _strip(
    shape: CutShape, w: float, h: float, method: Method, cloth: float, options: CutOptions,
    may_turn: bool,
) -> list[CutUnit]:  # fmt: skip
    """A rectangle whole, lengthwise where that is asked for and the print allows it, or joined."""
    asked = shape.is_border and shape.role in options.lengthwise
    if asked and max(w, h) > cloth / 2 and (h >= w or may_turn):
        if w > h:
            shape, w, h = shape.turned(90.0), h, w
        member = Member(shape.piece, w / 2, h / 2, shape.lie)
        return [CutUnit("lengthwise border", eighths(w), eighths(h), (member,), fixed=True)]
    if w > cloth + CLOSE or (may_turn and h > cloth + CLOSE):
        return _joined(shape, w, h, cloth, options.seam)
    return [CutUnit(method, eighths(w), eighths(h),
                    (Member(shape.piece, w / 2, h / 2, shape.lie),))]  # fmt: skip


def _joined(shape: CutShape, w: float, h: float, cloth: float, seam: float) -> list[CutUnit]:
    """A strip longer than the cloth is wide: equal lengths, joined with straight seams."""
    if h > w and w <= cloth:  # only where the cloth may be turned: cut across like the others
        shape = shape.turned(90.0)
        w, h = h, w
    if cloth < 2 * seam + _LEAST:  # left whole: the solver says that it does not fit
        member = Member(shape.piece, w / 2, h / 2, shape.lie)
        return [CutUnit("rectangle", eighths(w), eighths(h), (member,))]
    x0, _, x1, _ = shape.outline.bounds
    parts = max(2, math.ceil((w - 2 * seam) / (cloth - 2 * seam) - CLOSE))
    step = (w - 2 * seam) / parts
    start = (x0 + x1 - w) / 2 + seam  # finished parts begin here (a mitred end reaches further)
    units = []
    for k in range(parts):
        low, high = start + k * step, start + (k + 1) * step
        seen = (max(low, x0), min(high, x1))
        member = Member(shape.piece, (seen[0] + seen[1]) / 2 - low + seam, h / 2, shape.lie,
                        k + 1, parts, (low, high))  # fmt: skip
        units.append(CutUnit("joined strip", eighths(step + 2 * seam), eighths(h), (member,)))
    return units
