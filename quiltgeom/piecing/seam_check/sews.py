"""What is cut sews together: every seam's two sides, measured from the cut sizes as printed.

The order of sewing is followed from the patches to the top. What was rounded up is brought to size
where the trade does it: rectangles between two marks of the ruler by themselves, triangles from
squares with the smallest rectangular unit that they are sewn into (the setting triangles with the
middle of the top), and rows of such units where they meet something that is on the ruler. Each of
these is a step that list and sewing both state, with its size. Then the two sides of every seam,
and of every stretch of it between points that must meet, are equal; if not, it is a finding.
"""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import shapely

from quiltgeom.cutting.as_sewn import AsSewn, trimmed
from quiltgeom.geometry.outline import Point
from quiltgeom.piecing.plan_tree import Join, Node, SewingPlan
from quiltgeom.piecing.splits import Chain
from quiltgeom.piecing.steps import Steps
from quiltgeom.tolerance import MEETS
from quiltgeom.units import INCHES, Ruler

_NOISE = 1e-4


@dataclass(frozen=True, slots=True)
class Trim:
    """A step that brings something to size.

    Attributes:
        what: a letter, or a unit in words.
        size: width and height, allowances included; None: by its template.
        step: number of the step after which a unit is trimmed; 0 for a patch, trimmed beforehand.
    """

    what: str
    size: tuple[float, float] | None
    step: int = 0
    ruler: Ruler = INCHES

    @property
    def to(self) -> str:
        """To what, in words: ``to 3 1/2" square``."""
        if self.size is None:
            return "by its template"
        w, h = (self.ruler.text(v, denominator=32) for v in self.size)
        return f"to {w} square" if w == h else f"to {w} x {h}"


@dataclass(frozen=True, slots=True)
class Mismatch:
    """A seam whose two sides differ.

    Attributes:
        place: block or top, and its step.
        one, other: the two sides as sewn, inches.
    """

    place: str
    one: float
    other: float

    @property
    def difference(self) -> float:
        """Inches between the two sides."""
        return abs(self.one - self.other)

    def __str__(self) -> str:
        one, other = sorted((self.one, self.other))
        return (
            f"{self.place}: the two sides of a seam: found {one:.3f} in and {other:.3f} in, "
            f"{self.difference:.3f} in apart; accepted: 1/32 in, or a step that trims them"
        )


@dataclass(frozen=True, slots=True)
class Sides:
    """A rectangular unit: its sides (the more level one first), and the angle of that one."""

    width: float
    height: float
    angle: float

    def trimmed(self, seam: float, ruler: Ruler) -> tuple[float, float]:
        """The size to trim it to, allowances included."""
        return trimmed(self.width, seam, ruler), trimmed(self.height, seam, ruler)


@dataclass
class Bench:
    """One plan being sewn: each patch as it was cut, each seam measured.

    Attributes:
        name: of the block, or of the top.
        patches: by face, with the lie of its cloth in the plan's frame.
        labels: by face, its letter, or its look where it is a block.
        seam: seam allowance, inches.
        ruler: by which it is cut.
        trimming: whether anything is trimmed; else all is sewn as it was cut.
        blocks: labels of blocks; these are trimmed only if they have to be.
        trims: what was trimmed: by letter and size, number of the step, or look of a block.
        faults: seams whose sides differ all the same.
    """

    name: str
    plan: SewingPlan
    steps: Steps
    patches: Sequence[AsSewn]
    labels: Sequence[str]
    seam: float
    trimming: bool = True
    ruler: Ruler = INCHES
    blocks: Collection[str] = ()
    trims: dict[tuple[object, ...], Trim] = field(default_factory=dict)
    faults: list[Mismatch] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.own = {s.node.faces: s.number for s in self.steps}
        self.wanted: set[int | str] = set()
        self._sew()
        while self.before < self.wanted:  # each round asks for more to be trimmed, or is the last
            self._sew()

    def _sew(self) -> None:
        self.length: dict[tuple[int, int], float] = {}
        self.spare: dict[tuple[int, int], float] = {}
        self.open: set[int] = set()
        self.faults = []
        self.before = set(self.wanted)
        for node in self.plan.root.walk():
            if node.parts:
                self._unit(node)
            else:
                self._patch(node.faces[0])

    def _patch(self, face: int) -> None:
        patch, label = self.patches[face], self.labels[face]
        x, y, falls_off = patch.x, patch.y, 0.0
        if self.trimming and patch.way == "unit":
            self.open.add(face)
            x, y, falls_off = 1.0, 1.0, max(x, y) - 1.0
        elif self.trimming and patch.way == "template":
            self.trims["patch", label] = Trim(label, None)
        elif self.trimming and patch.trim and (label not in self.blocks or label in self.wanted):
            x, y = self._cut_down(face, patch, patch.trim)
        for e in self.plan.map.loops[face]:
            edge = self.plan.map.edges[e]
            turn = self._angle(e) - math.radians(patch.lie)
            grown = math.hypot(math.cos(turn) * x, math.sin(turn) * y)
            if edge.bulge or (x != y and abs(math.sin(2 * turn)) > _NOISE):
                grown = 1.0  # a fold or a mitre: one line is sewn through both
            self.length[e, face] = edge.length * grown
            mitre = patch.way == "mitre"
            self.spare[e, face] = self.ruler.step if mitre else edge.length * falls_off

    def _cut_down(self, face: int, patch: AsSewn, size: tuple[float, float]) -> tuple[float, float]:
        """A rectangle trimmed: by how many times it is then larger than finished."""
        x0, y0, x1, y1 = self.plan.outlines[face].turned(-patch.lie, (0, 0)).bounds
        w, h = x1 - x0, y1 - y0
        x, y = (size[0] - 2 * self.seam) / w, (size[1] - 2 * self.seam) / h
        if max((patch.x - x) * w, (patch.y - y) * h) > _NOISE:  # else it was cut so
            label = self.labels[face]
            self.trims["patch", label, *size] = Trim(label, size, 0, self.ruler)
        return x, y

    def _angle(self, e: int) -> float:
        (x0, y0), (x1, y1) = (self.plan.map.points[v] for v in self.plan.map.edges[e].ends)
        return math.atan2(y1 - y0, x1 - x0)

    def _unit(self, node: Node) -> None:
        number = self.steps.made_by.get(node.faces, 0)
        if number and self.own.get(node.faces) == number:
            for join in (*node.joins, *node.closes):
                self._compare(node, join, number)
        waiting = self.open.intersection(node.faces)
        sides = self.sides(node) if number and (waiting or number in self.wanted) else None
        if sides is None:
            return
        rim = self._rim(node)
        for face in waiting - {f for _, f in rim}:  # closed in: it cannot be trimmed with the unit
            self.trims["patch", self.labels[face]] = Trim(self.labels[face], None)
        self.open -= waiting
        w, h = sides.trimmed(self.seam, self.ruler)
        step = self.steps.steps[number - 1]
        name = self.name if step.whole else f"{step.name} of {self.name}"
        self.trims["unit", number] = Trim(name, (w, h), number, self.ruler)
        for e, f in rim:
            level = abs(math.sin(self._angle(e) - sides.angle)) < 0.5
            to, finished = (w, sides.width) if level else (h, sides.height)
            self.length[e, f] = self.plan.map.edges[e].length * (to - 2 * self.seam) / finished
            self.spare[e, f] = 0.0

    def _rim(self, node: Node) -> list[tuple[int, int]]:
        """Outer edges of a unit, each with the patch that it is of."""
        inside, edges = set(node.faces), self.plan.map.edges
        return [
            (e, f)
            for f in node.faces
            for e in self.plan.map.loops[f]
            if sum(g in inside for g in edges[e].faces) == 1
        ]

    def sides(self, node: Node) -> Sides | None:
        """The sides of a unit that is a rectangle, however it is turned; else None."""
        edges, points = self.plan.map.edges, self.plan.map.points
        rim = self._rim(node)
        if any(edges[e].bulge for e, _ in rim):
            return None
        found = rectangle_sides([points[v] for e, _ in rim for v in edges[e].ends])
        area = sum(self.plan.outlines[f].area for f in node.faces)
        return found if abs(found.width * found.height - area) < _NOISE * area else None

    @cached_property
    def whole(self) -> tuple[Sides, tuple[float, float]] | None:
        """The sides of the whole and how many times larger it sews; None if no rectangle."""
        root = self.plan.root
        sides = self.sides(root)
        return (sides, self._grown(root, sides)) if sides else None

    def _grown(self, node: Node, sides: Sides) -> tuple[float, float]:
        """By how many times a rectangular unit sews wider and higher than it finishes: of two
        opposite sides the one that is farther off."""
        totals: dict[tuple[bool, int], float] = {}
        for e, f in self._rim(node):
            level = abs(math.sin(self._angle(e) - sides.angle)) < 0.5
            x, y = self.plan.map.points[self.plan.map.edges[e].ends[0]]
            c, s = math.cos(sides.angle), math.sin(sides.angle)
            across = round((c * y - s * x if level else c * x + s * y) * 1e3)
            totals[level, across] = totals.get((level, across), 0.0) + self.length[e, f]
        return tuple(  # type: ignore[return-value]
            max(
                (t / finished for (lev, _), t in totals.items() if lev == level),
                key=lambda v: abs(v - 1),
            )
            for level, finished in ((True, sides.width), (False, sides.height))
        )

    def _compare(self, node: Node, join: Join, number: int) -> None:
        """Look at a seam: the whole of it, and each stretch between points that must meet."""
        for chain in join.chains:
            side = _one_side(self.plan, node, join, chain)
            whole, stretch = [0.0] * 4, [0.0] * 4
            for k, e in enumerate(chain.edges):
                faces = sorted(self.plan.map.edges[e].faces, key=lambda f: f not in side)
                found = [t[e, f] for t in (self.length, self.spare) for f in faces]
                whole, stretch = (
                    [a + b for a, b in zip(sums, found, strict=True)] for sums in (whole, stretch)
                )
                bad = stretch if _differ(stretch) else whole
                if not (k + 1 == len(chain.edges) or self._meet(chain.vertices[k + 1], node, side)):
                    continue
                stretch = [0.0] * 4
                if bad is not whole or (k + 1 == len(chain.edges) and _differ(whole)):
                    if not (self.trimming and self._trim_along(node, chain)):
                        self.faults.append(Mismatch(f"{self.name}, step {number}", *bad[:2]))
                    break

    def _meet(self, vertex: int, node: Node, side: Collection[int]) -> bool:
        """Whether seams of both sides run into a seam here."""
        found = [
            [f in side for f in self.plan.map.edges[e].faces]
            for e in self.plan.map.around[vertex]
            if set(self.plan.map.edges[e].faces) <= set(node.faces)
        ]
        return [True, True] in found and [False, False] in found

    def _trim_along(self, node: Node, chain: Chain) -> bool:
        """Ask for blocks beside a seam to be trimmed, then for units, if they hold anything that
        was rounded; False if there is nothing left to trim."""
        near = {f for e in chain.edges for f in self.plan.map.edges[e].faces}
        more: set[int | str] = {
            self.labels[f] for f in near if self.patches[f].trim and self.labels[f] in self.blocks
        }
        if more <= self.before:
            for part in node.parts:
                unit = self.steps.made_by.get(part.faces, 0)
                rounded = any(
                    self.patches[f].trim or self.patches[f].way == "unit" for f in part.faces
                )
                if unit and rounded and near.intersection(part.faces) and self.sides(part):
                    more.add(unit)
        fresh = not more <= self.before
        self.wanted |= more
        return fresh


def _differ(sums: Sequence[float]) -> bool:
    """Whether one side is longer than the other, even with what will fall off that one."""
    one, other, more, less = sums
    return max(one - other - less, other - one - more) > MEETS + _NOISE


def rectangle_sides(points: Sequence[Point]) -> Sides:
    """The sides of the smallest rectangle round some points.

    >>> rectangle_sides([(0, 0), (3, 0), (3, 2), (0, 2)])
    Sides(width=3.0, height=2.0, angle=0.0)
    """
    box = shapely.get_coordinates(shapely.oriented_envelope(shapely.multipoints(points)))
    found = []
    for p, q in ((box[0], box[1]), (box[1], box[2])):
        angle = math.remainder(math.atan2(q[1] - p[1], q[0] - p[0]), math.pi)
        found.append((abs(angle) > math.pi / 4 + _NOISE, angle + 0.0, math.dist(p, q)))
    (_, angle, width), (_, _, height) = sorted(found)
    return Sides(width, height, angle)


def _one_side(plan: SewingPlan, node: Node, join: Join, chain: Chain) -> Collection[int]:
    """The patches on one side of a seam."""
    if join in node.joins:
        k = node.joins.index(join)
        return set(node.parts[k + 1].faces)
    sets = [set(plan.map.edges[e].faces) for e in chain.edges]  # one patch's seam, closed late
    return set.intersection(*sets) if len(sets) > 1 else {min(sets[0])}
