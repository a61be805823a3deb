"""From placed patches to the rectangles that are cut from the cloth, with the way of cutting."""

from collections.abc import Iterable
from functools import partial

from quiltgeom.cutting.methods.constants import foundation_rectangle, foundation_square
from quiltgeom.cutting.methods.cut_shapes import (
    TURNS,
    CutShape,
    is_rectangle,
    on_cloth,
    triangle_kind,
    with_the_threads,
)
from quiltgeom.cutting.methods.slanted import (
    Run,
    along_strip,
    common_lie,
    lay_run,
    shift_key,
    slant_note,
    transposed,
)
from quiltgeom.cutting.methods.squares import Pool, half_side, halves, quarter_side, quarters
from quiltgeom.cutting.methods.unit import CutUnit, Member, Method
from quiltgeom.cutting.options import CutOptions
from quiltgeom.geometry.allowance import offset_outline
from quiltgeom.model.fabric import Direction
from quiltgeom.model.quilt import Piece
from quiltgeom.units import Ruler


def cut_units(
    pieces: Iterable[Piece],
    direction: Direction,
    cloth: float,
    *,
    options: CutOptions | None = None,
    short: float = 0.0,
) -> list[CutUnit]:
    """Cut rectangles for the patches of one fabric, each patch by itself (strips of sashing and
    borders are for :func:`~quiltgeom.cutting.methods.joins.strip_units`).

    Half-square triangles come in pairs from squares cut once, quarter-square triangles by fours
    from squares cut twice, as far as the print allows them to be turned; diamonds and other
    slanted patches side by side from strips; rectangles as they are; any other shape from the
    smallest upright rectangle that holds it with its allowance, with a template. Cloth without
    direction is laid with the patch's longest edge along the threads.

    Args:
        pieces: patches of one fabric.
        direction: what turns the print allows.
        cloth: usable width of the cloth in inches.
        options: the maker's choices, the seam allowance among them; of its methods ``templates``
            and ``foundation`` matter here.
        short: strips along the cloth as short as they can be, and no longer than so many inches;
            0: as few as possible.
    """
    chosen = options or CutOptions()
    cutter = _Cutter(direction, cloth, chosen, short)
    for piece in pieces:
        cutter.add(on_cloth(piece), chosen.method(piece.role))
    return sorted(cutter.units(), key=lambda u: (-u.height, -u.width, u.method, u.members[0].piece))


class _Cutter:
    """Sorts the patches of one fabric by the way in which they are cut."""

    def __init__(
        self, direction: Direction, cloth: float, options: CutOptions, short: float
    ) -> None:
        self.turns, self.cloth, self.options = TURNS[direction], cloth, options
        self.short = short
        self.free = direction == "non-directional"
        self.single: list[CutUnit] = []
        self.triangles: dict[tuple[str, int, bool], Pool] = {}
        self.slanted: dict[object, list[CutShape]] = {}

    def add(self, shape: CutShape, method: str) -> None:
        """Sort a patch in."""
        if self.free:
            shape = with_the_threads(shape)
        template, setting = method == "templates", shape.block == "setting-triangle"
        kind, size, way = ("", 0.0, 0) if template else triangle_kind(shape.outline)
        foundation = method == "foundation" and shape.in_block
        if foundation and kind != "half":
            self.single.append(_oversize(shape, self.options))
        elif kind:
            key = "foundation" if foundation else kind, round(size * 1e6), setting
            self.triangles.setdefault(key, []).append((way, shape))
        elif template or is_rectangle(shape.outline):
            self.single.append(_single(shape, self.options))
        else:
            shape = common_lie(shape, self.turns, free=self.free)
            self.slanted.setdefault(shift_key(shape.outline), []).append(shape)

    def units(self) -> list[CutUnit]:
        """Every rectangle."""
        out, options = list(self.single), self.options
        for (kind, size, setting), group in sorted(self.triangles.items()):
            finished, foundation = size / 1e6, kind == "foundation"
            if kind == "quarter":
                side = quarter_side(finished, options, setting=setting)
                out += quarters(group, finished, self.turns, side, options)
            else:
                side = half_side(finished, options, setting=setting)
                side = foundation_square(finished, seam=options.seam) if foundation else side
                out += halves(group, finished, self.turns, side, options, oversize=foundation)
        for shapes in self.slanted.values():
            out += self._slanted(shapes)
        return out

    def _slanted(self, shapes: list[CutShape]) -> list[CutUnit]:
        seam, ruler, outline = self.options.seam, self.options.ruler, shapes[0].outline
        lay = partial(lay_run, halves=2 in self.turns, short=self.short, ruler=ruler)
        for upright, laid in ((True, outline), (False, transposed(outline))):
            if len(shapes) > 1 and along_strip(laid):
                runs = lay(shapes, self.cloth, seam, upright=upright)
                return [_strip(r, ruler) for r in runs]
        return [_single(s, self.options) for s in shapes]


def _strip(run: Run, ruler: Ruler) -> CutUnit:
    size, inside = (run.width, run.height), (run.members, run.lines)
    return CutUnit.of("slanted strip", *size, *inside, note=slant_note(run), ruler=ruler)


def _oversize(shape: CutShape, options: CutOptions) -> CutUnit:
    """A rectangle larger than needed, the patch in its middle."""
    x0, y0, x1, y1 = shape.outline.bounds
    w, h = foundation_rectangle(x1 - x0, y1 - y0, seam=options.seam)
    member = Member(shape.piece, w / 2, h / 2, shape.lie)
    return CutUnit.of("foundation piece", w, h, [member], ruler=options.ruler)


def _single(shape: CutShape, options: CutOptions) -> CutUnit:
    """A patch by itself: never joined, however large it is."""
    method: Method = "rectangle" if is_rectangle(shape.outline) else "template"
    w, h, member = held(shape, options.seam)
    return CutUnit.of(method, w, h, [member], ruler=options.ruler)


def held(shape: CutShape, seam: float) -> tuple[float, float, Member]:
    """Width and height of the smallest upright rectangle that holds a patch with its allowance,
    inches, and the patch in it."""
    x0, y0, x1, y1 = shape.outline.bounds
    if is_rectangle(shape.outline):
        w, h = x1 - x0 + 2 * seam, y1 - y0 + 2 * seam
        return w, h, Member(shape.piece, w / 2, h / 2, shape.lie)
    a0, b0, a1, b1 = offset_outline(shape.outline, seam).bounds
    middle = (x0 + x1) / 2 - a0, (y0 + y1) / 2 - b0
    return a1 - a0, b1 - b0, Member(shape.piece, *middle, shape.lie)
