"""Patches to templates: one for each shape, with everything that is printed on it."""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from shapely import Polygon

from quiltgeom.cutting.letters import Letters, shape_letters
from quiltgeom.cutting.wanted import wanted_units
from quiltgeom.errors import Finding, QuiltValueError
from quiltgeom.geometry.allowance import SEAM, offset_outline
from quiltgeom.geometry.congruence import plain_outline, same_shape
from quiltgeom.geometry.outline import Outline, Point, arc_of
from quiltgeom.geometry.planar import planar_map
from quiltgeom.model.block import Block
from quiltgeom.model.quilt import Piece, Quilt
from quiltgeom.piecing.quilt_plan import pieces_by_place, unit_outlines
from quiltgeom.piecing.seam_check.sews import rectangle_sides
from quiltgeom.piecing.sewing_plan import SewingPlan, plan_outlines
from quiltgeom.piecing.splits import connected_parts
from quiltgeom.tolerance import SAME_CORNER, SAME_DEG, SLIVER
from quiltgeom.tracing.trim import Trim, trim_tips, trims
from quiltgeom.units import INCHES, Ruler

RULER_LONG = 13.0
"""A square-cornered piece longer than this (inches) is measured with a ruler, not traced."""

RULER_ANY = 24.0
"""So is any piece longer than this, such as a mitred border: its size is that of its box."""


@dataclass(frozen=True)
class Template:
    """One shape to trace, lengths in inches, its cutting outline at the origin.

    Attributes:
        label: letter of the pile that its patches are cut from; with a number (``"C-2"``) where
            they need several templates, as they are trimmed in several ways, say.
        seam: finished outline.
        cut: cutting outline.
        dots: where seam lines cross or end, on the seam line.
        notches: (point on the cutting line, direction inward in radians) on curves.
        grain_deg: lengthwise grain, degrees clockwise from the x axis, in [0, 180).
        up_deg: where the print's up points (0 = up the page), or None for cloth without an up.
        count: how many to cut.
        reversed: how many of the mirror image to cut.
        window: the inside of the seam line is cut out too, so that one sees what the patch shows.
    """

    label: str
    role: str
    seam: Outline
    cut: Outline
    dots: tuple[Point, ...]
    notches: tuple[tuple[Point, float], ...]
    grain_deg: float
    up_deg: float | None
    count: int
    reversed: int
    window: bool = False

    @property
    def polygon(self) -> Polygon:
        """Its cutting line as a shapely polygon: inches, x right, y down."""
        return self.cut.polygon

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the cutting outline."""
        x0, y0, x1, y1 = self.cut.bounds
        return x1 - x0, y1 - y0


@dataclass(frozen=True)
class TemplateSet:
    """All templates of a block or quilt.

    Attributes:
        allowance: inches.
        templates: in order of label.
        by_ruler: (letter, role, finished width, finished height, count) of long square-cornered
            pieces.
        findings: patches that this allowance does not fit.
        ruler_cuts: for each of ``by_ruler`` the width and height to cut; more than two allowances
            longer where the ends are mitred.
        ruler: by which it is written.
    """

    title: str
    allowance: float
    templates: tuple[Template, ...]
    by_ruler: tuple[tuple[str, str, float, float, int], ...] = ()
    findings: tuple[Finding, ...] = ()
    ruler_cuts: tuple[tuple[float, float], ...] = ()
    ruler: Ruler = INCHES


@dataclass(frozen=True)
class _Group:
    """Patches sewn together in one plan, in inches, with their letters; ``axis`` is the direction
    of the quilt's (or block's) sides in their frame, degrees."""

    outlines: list[Outline]
    roles: list[str]
    letters: Sequence[str]
    lies: list[float]
    count: int
    axis: float = 0.0


def block_templates(
    block: Block,
    size: float | None = None,
    *,
    allowance: float = SEAM,
    trim: bool = True,
    one_sided: bool = True,
    directional: Collection[str] = (),
    copies: int = 1,
) -> TemplateSet:
    """The templates of a block.

    Args:
        size: finished width in inches; one inch per grid unit if not given.
        allowance: seam allowance in inches; 0 gives finished-size papers.
        trim: cut off tips to suit the neighbour that is sewn on first.
        one_sided: cloth has a right side, so mirror images are counted apart.
        directional: roles whose print has an up; equal shapes that lie differently are then
            templates of their own.
        copies: number of blocks.

    Raises:
        QuiltValueError: a size or allowance that makes no sense.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> made = block_templates(load_blocks().get("pinwheel"), 4)
    >>> [(t.label, t.role, t.count) for t in made.templates]
    [('A', 'accent', 4), ('B', 'background', 4)]
    """
    size = block.width if size is None else size
    if not 0 < size <= 200 or copies < 1:
        raise QuiltValueError(
            f"templates: found size {size:g} in, {copies} copies; accepted: size above 0 to 200 "
            "in, at least one copy"
        )
    k = size / block.width
    roles = [p.role for p in block.patches]
    letters = shape_letters([p.outline for p in block.patches], roles)
    outlines = [p.outline.moved(0, 0, k) for p in block.patches]
    group = _Group(outlines, roles, letters, [0.0] * len(roles), copies)
    return _Builder(allowance, trim, one_sided, frozenset(directional)).run(block.name, [group])


def quilt_templates(
    quilt: Quilt,
    *,
    allowance: float = SEAM,
    trim: bool = True,
    one_sided: bool = True,
    directional: Collection[str] = (),
    letters: Letters | None = None,
) -> TemplateSet:
    """The templates of a whole quilt top; arguments as :func:`block_templates`.

    Args:
        letters: of what is cut; as for cloth without direction, if not given.

    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> made = quilt_templates(lay_out(load_patterns().get("barn-lantern")))
    >>> sum(t.count + t.reversed for t in made.templates) + sum(r[4] for r in made.by_ruler)
    235
    """
    letters = letters or wanted_units(quilt, {}).letters
    groups: dict[object, _Group] = {}
    for pieces in pieces_by_place(quilt):
        key = tuple(
            (
                letters.pieces[p.index],
                round(p.lie_deg, 6) if p.role in directional else 0.0,
                p.placement.turn,
                p.placement.mirror,
                round(p.placement.scale, 9),
                id(p.patch),
            )
            for p in pieces
        )
        known = groups.get(key)
        if known:
            groups[key] = replace(known, count=known.count + 1)
        else:
            groups[key] = _group(pieces, letters)
    builder = _Builder(allowance, trim, one_sided, frozenset(directional), RULER_LONG)
    return builder.run(quilt.name, [g for group in groups.values() for g in _connected(group)])


def _group(pieces: Sequence[Piece], letters: Letters) -> _Group:
    """The pieces of one unit; a block is set upright, and its cloth turns with it."""
    turn = pieces[0].placement.degrees
    return _Group(
        unit_outlines(pieces),
        [p.role for p in pieces],
        [letters.pieces[p.index] for p in pieces],
        [p.lie_deg - turn for p in pieces],
        1,
        -turn if len(pieces) == 1 else 0.0,
    )


def _connected(group: _Group) -> list[_Group]:
    """Patches of one place that do not touch (the ends of a border) are planned apart."""
    parts = connected_parts(planar_map(group.outlines))
    made = []
    for part in parts:
        outlines, roles = [group.outlines[f] for f in part], [group.roles[f] for f in part]
        letters, lies = [group.letters[f] for f in part], [group.lies[f] for f in part]
        made.append(_Group(outlines, roles, letters, lies, group.count, group.axis))
    return made


class _Builder:
    def __init__(
        self,
        allowance: float,
        trim: bool,
        one_sided: bool,
        directional: frozenset[str],
        ruler: float = math.inf,
    ) -> None:
        if not 0 <= allowance <= 4:
            raise QuiltValueError(
                f"templates: found seam allowance {allowance:g} in; accepted: 0 to 4 in"
            )
        self.allowance, self.trim, self.one_sided = allowance, trim, one_sided
        self.directional, self.ruler = directional, ruler
        self.findings: list[Finding] = []
        self.by_ruler: dict[tuple[str, str, float, float], int] = {}
        self.ruler_cuts: dict[tuple[str, str, float, float], tuple[float, float]] = {}
        self.classes: dict[str, dict[object, Template]] = {}
        self.hands: dict[object, int] = {}

    def run(self, title: str, groups: Sequence[_Group]) -> TemplateSet:
        for group in groups:
            plan = plan_outlines(group.outlines, group.roles)
            cuts = trims(plan, self.allowance) if self.trim else []
            for face in range(len(group.outlines)):
                self._patch(group, plan, [c for c in cuts if c.face == face], face)
        templates = []
        for letter in sorted(self.classes, key=lambda n: (len(n), n)):
            variants = self.classes[letter]
            for k, template in enumerate(variants.values(), 1):
                label = f"{letter}-{k}" if len(variants) > 1 else letter
                templates.append(replace(template, label=label))
        rows = tuple((*key, count) for key, count in self.by_ruler.items())
        findings, ruler_cuts = (
            tuple(self.findings),
            tuple(self.ruler_cuts[k] for k in self.by_ruler),
        )
        return TemplateSet(title, self.allowance, tuple(templates), rows, findings, ruler_cuts)

    def _patch(self, group: _Group, plan: SewingPlan, cuts: list[Trim], face: int) -> None:
        role, lie = group.roles[face], group.lies[face]
        seam = plain_outline(group.outlines[face])
        box = _rectangle_sides(seam)
        x0, y0, x1, y1 = seam.bounds
        if self.ruler < math.inf and max(x1 - x0, y1 - y0) > RULER_ANY:
            box = (x1 - x0, y1 - y0)
        if box and max(box) > self.ruler:
            key = (group.letters[face], role, round(box[0], 6), round(box[1], 6))
            self.by_ruler[key] = self.by_ruler.get(key, 0) + group.count
            a, b, c, d = offset_outline(seam, self.allowance).bounds
            upright = abs(x1 - x0 - box[0]) < SAME_CORNER
            more = 2 * self.allowance
            self.ruler_cuts[key] = (c - a, d - b) if upright else (box[0] + more, box[1] + more)
            return
        try:
            cut = trim_tips(offset_outline(seam, self.allowance), seam, cuts)
        except QuiltValueError as e:
            rule, other = "room for the allowance", "a narrower allowance"
            self.findings.append(Finding(f"patch {face + 1} ({role})", rule, str(e), other))
            return
        variant, hand = self._variant(seam, cut, group.letters[face], role, lie)
        variants = self.classes.setdefault(group.letters[face], {})
        if variant not in variants:
            self.hands[variant] = hand
            made = self._template(plan, face, seam, cut, role, lie)
            variants[variant] = replace(made, grain_deg=_grain(plan, face, group.axis))
        same = not self.one_sided or hand * self.hands[variant] != -1
        known = variants[variant]
        counts = (known.count + group.count * same, known.reversed + group.count * (not same))
        variants[variant] = replace(known, count=counts[0], reversed=counts[1])

    def _variant(
        self, seam: Outline, cut: Outline, letter: str, role: str, lie: float
    ) -> tuple[object, int]:
        """Equal for patches that one template will do for, and which of two hands it is."""
        if role in self.directional:
            flat = [
                tuple((round(x - x0, 4), round(y - y0, 4)) for x, y in o.points)
                for o in (seam.turned(-lie, (0.0, 0.0)), cut.turned(-lie, (0.0, 0.0)))
                for x0, y0, *_ in [o.bounds]
            ]
            return (letter, *(tuple(sorted(points)) for points in flat)), 0
        both = same_shape([cut, seam], ["cut", letter])
        return both.key, both.hand

    def _template(
        self, plan: SewingPlan, face: int, seam: Outline, cut: Outline, role: str, lie: float
    ) -> Template:
        x0, y0, *_ = cut.bounds
        dots = [plan.map.points[v] for v in dict.fromkeys(plan.map.corners[face])]
        place = tuple((x - x0, y - y0) for x, y in dots), _notches(cut, -x0, -y0)
        up = lie if role in self.directional else None
        shapes = seam.moved(-x0, -y0), cut.moved(-x0, -y0)
        return Template("", role, *shapes, *place, 0.0, up, 0, 0)


def _rectangle_sides(seam: Outline) -> tuple[float, float] | None:
    """Width and height if all four corners are square."""
    if len(seam.points) != 4 or not seam.is_straight:
        return None
    box = rectangle_sides(seam.points)
    filled = abs(seam.area - box.width * box.height) < SLIVER
    return (box.width, box.height) if filled else None


def _notches(cut: Outline, dx: float, dy: float) -> tuple[tuple[Point, float], ...]:
    """The middle of every curved edge, with the direction into the patch."""
    out = []
    for p, q, bulge in cut.edges():
        if bulge:
            arc = arc_of(p, q, bulge)
            angle = arc.start + arc.sweep / 2
            x, y = arc.point(angle)
            out.append(((x + dx, y + dy), angle + (math.pi if bulge > 0 else 0.0)))
    return tuple(out)


def _grain(plan: SewingPlan, face: int, axis: float) -> float:
    """Along the longest straight edge on the outside of the block; else along the block's sides;
    else along the longest edge. A setting triangle, all of whose edges are outside, takes the one
    along the quilt's side: that is where bias would stretch."""
    best = (-1, False, 0.0, 0.0)
    alone = len(plan.outlines) == 1
    for e in plan.map.loops[face]:
        edge = plan.map.edges[e]
        if edge.bulge:
            continue
        angle = math.degrees(edge.leave[0]) % 180.0
        angle = 0.0 if angle > 180.0 - SAME_DEG else angle
        along = abs(math.remainder(angle - axis, 90.0)) < SAME_DEG
        outside = len(edge.faces) == 1 and not (alone and not along)
        rank = 2 if outside else 1 if along else 0
        best = max(best, (rank, along, round(edge.length, 6), -angle))
    return -best[3] + 0.0 if best[0] >= 0 else 90.0
