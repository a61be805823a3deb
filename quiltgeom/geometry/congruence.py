"""Congruence and symmetry: units of the same shape in the same fabrics, however turned or mirrored,
and the turns and mirrors that bring a drawing onto itself."""

import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from hashlib import blake2b

import numpy as np
from numpy.typing import NDArray

from quiltgeom.geometry.outline import Arc, Outline, Point, arc_of
from quiltgeom.tolerance import SAME_CORNER, SAME_POINT, SMOOTH_RAD

_DIGITS = 5
_ORDERS = (24, 16, 12, 10, 8, 6, 5, 4, 3, 2)
_Groups = list[tuple[Hashable, NDArray[np.float64]]]
"""Of each patch its colour and the points that tell how it lies."""
_Edge = tuple[Point, Point, float]
_STEP = 1e-4
"""Corners that differ by less than this part of the unit's size are the same corner."""
_OFF_MARK = 0.1370717
"""Shifts the rounding away from halves and quarters, on which corners like to lie."""


@dataclass(frozen=True)
class Shape:
    """What does not change when a unit is turned.

    Attributes:
        key: equal for units that can be laid on each other by turning or turning over.
        hand: 0 if it is its own mirror image, else 1 or -1 for the two hands of a shape.
    """

    key: tuple[int, int, int]
    hand: int


def same_shape(outlines: Sequence[Outline], labels: Sequence[str] = ()) -> Shape:
    """The shape of a unit of patches; ``labels`` (fabrics) must agree too, if given.

    >>> from quiltgeom.geometry.outline import Outline
    >>> a = Outline(((0, 0), (2, 0), (0, 1)))
    >>> b = Outline(((5, 5), (5, 7), (4, 5)))
    >>> one, two = same_shape([a]), same_shape([b])
    >>> one.key == two.key, one.hand * two.hand
    (True, 1)
    >>> mirrored = same_shape([a.turned(0, (0, 0), mirror=True)])
    >>> one.key == mirrored.key, one.hand * mirrored.hand
    (True, -1)
    """
    return ShapeCache(outlines, labels).shape(tuple(range(len(outlines))))


class ShapeCache:
    """Shapes of groups of patches, each computed once."""

    def __init__(self, outlines: Sequence[Outline], labels: Sequence[str] = ()) -> None:
        self._patches = [
            _patch(plain_outline(o), label)
            for o, label in zip(outlines, labels or [""] * len(outlines), strict=True)
        ]
        self._known: dict[tuple[int, ...], Shape] = {}

    def shape(self, faces: tuple[int, ...]) -> Shape:
        """The shape of the patches with these numbers (ascending)."""
        if faces not in self._known:
            self._known[faces] = _shape([self._patches[f] for f in faces])
        return self._known[faces]

    def size(self, faces: tuple[int, ...]) -> tuple[int, float]:
        """Number of patches and area, rounded: a quick test before :meth:`key`."""
        return len(faces), round(sum(self._patches[f].area for f in faces), 5)

    def key(self, faces: tuple[int, ...]) -> tuple[int, int, int]:
        """See :class:`Shape`."""
        return self.shape(faces).key

    def hand(self, faces: tuple[int, ...]) -> int:
        """See :class:`Shape`."""
        return self.shape(faces).hand


@dataclass(frozen=True, slots=True)
class _Patch:
    """Edges of a patch as complex numbers, what marks them, its area and its middle times area."""

    starts: NDArray[np.complex128]
    ends: NDArray[np.complex128]
    marks: NDArray[np.uint64]
    area: float
    moment: complex


def _patch(outline: Outline, label: str) -> _Patch:
    points = np.array(outline.points, dtype=float)
    starts = points[:, 0] + 1j * points[:, 1]
    bulges = np.rint(np.array(outline.bulges) * 1e4).astype(np.int64).view(np.uint64)
    middle = outline.polygon.centroid if not outline.is_straight else None
    area = outline.area
    moment = complex(middle.x, middle.y) * area if middle else _moment(starts)
    return _Patch(
        starts, np.roll(starts, -1), _mixed(bulges) + np.uint64(_label_mark(label)), area, moment
    )


def _moment(z: NDArray[np.complex128]) -> complex:
    """Centroid times area of a straight outline (clockwise with y down)."""
    first = z[0]
    rel = z - first
    after = np.roll(rel, -1)
    cross = rel.real * after.imag - after.real * rel.imag
    return complex(((rel + after) * cross).sum() / 6 + first * cross.sum() / 2)


@lru_cache(maxsize=1024)
def _label_mark(label: str) -> int:
    """A fixed number for a text, the same on every machine."""
    return int.from_bytes(blake2b(label.encode(), digest_size=8).digest(), "little")


def _shape(patches: Sequence[_Patch]) -> Shape:
    """Every corner farthest from the middle is once turned onto the x axis; the least of the
    descriptions stands for the unit, whichever way it was turned."""
    area = sum(p.area for p in patches)
    centre, size = sum(p.moment for p in patches) / area, math.sqrt(area)
    starts = (np.concatenate([p.starts for p in patches]) - centre) / (size * _STEP)
    ends = (np.concatenate([p.ends for p in patches]) - centre) / (size * _STEP)
    marks = np.concatenate([p.marks for p in patches])
    distances = np.abs(starts)
    far = starts[distances > distances.max() - 1.0]
    angles = np.angle(far)
    _, first = np.unique(np.round(angles, 6), return_index=True)
    spin = np.exp(-1j * angles[first])[:, None]
    turned = _described(starts * spin, ends * spin, marks)
    # the mirror image: walked backward, an outline is clockwise again and its bulges stay
    over = _described(ends.conj() * spin.conj(), starts.conj() * spin.conj(), marks)
    key = (len(marks), round(size / _STEP + _OFF_MARK), min(turned, over))
    return Shape(key, 0 if turned == over else 1 if turned < over else -1)


def _described(
    starts: NDArray[np.complex128], ends: NDArray[np.complex128], marks: NDArray[np.uint64]
) -> int:
    """The least, over all turns (rows), of a number made of all edges in any order: a sum of
    64-bit mixtures, so that different units agree by chance once in 10^19."""
    total = marks[None, :]
    for z in (starts, ends):
        for part in (z.real, z.imag):
            whole = np.floor(part + (_OFF_MARK + 0.5)).astype(np.int64).view(np.uint64)
            total = _mixed(total + whole)
    return int(total.sum(axis=1, dtype=np.uint64).min())


def _mixed(values: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """Scatters every bit over all 64 (finaliser of the generator splitmix64, Steele and others,
    2014)."""
    values = values + np.uint64(0x9E3779B97F4A7C15)
    values = (values ^ (values >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    values = (values ^ (values >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return values ^ (values >> np.uint64(31))


def plain_outline(outline: Outline, *, arcs: bool = False) -> Outline:
    """The outline without corners at which nothing turns, or that are written twice.

    Args:
        arcs: arcs of one circle that follow each other become one, too; but not those of a disc.

    >>> plain_outline(Outline(((0, 0), (1, 0), (2, 0), (2, 2)))).points
    ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0))
    """
    every = list(outline.edges())
    edges = [e for e in every if e[2] or math.dist(e[0], e[1]) > SAME_POINT]
    keep = [k for k, edge in enumerate(edges) if not _goes_on(edges[k - 1], edge, arcs)]
    if len(keep) == len(every) or len(keep) < (1 if arcs else 3):
        return outline
    ends = [*keep[1:], keep[0] + len(edges)]
    runs = [[(edges + edges)[k] for k in range(a, b)] for a, b in zip(keep, ends, strict=True)]
    bulges = [
        run[0][2] if len(run) == 1 else math.tan(sum(math.atan(b) for *_, b in run)) for run in runs
    ]
    return Outline(tuple(run[0][0] for run in runs), tuple(bulges))


def _goes_on(one: _Edge, two: _Edge, arcs: bool) -> bool:
    """Whether two edges that follow each other are one straight line, or arcs of one circle."""
    (p, q, a), (_, r, b) = one, two
    if not (a or b):
        return runs_on(p, q, r)
    if not arcs or a * b <= 0:
        return False
    first, second = arc_of(p, q, a), arc_of(q, r, b)
    return math.dist((first.cx, first.cy), (second.cx, second.cy)) < SAME_CORNER


def runs_on(p: Point, q: Point, r: Point) -> bool:
    """Whether the way from ``p`` over ``q`` to ``r`` is straight."""
    turn = math.atan2(r[1] - q[1], r[0] - q[0]) - math.atan2(q[1] - p[1], q[0] - p[0])
    return abs(math.remainder(turn, 2 * math.pi)) < SMOOTH_RAD


def symmetry_name(outlines: Sequence[Outline], colours: Sequence[Hashable], centre: Point) -> str:
    """``"D4"``, ``"C2"``, ...: order of turning, D where there are mirrors too.

    Args:
        colours: one per patch; patches must land on patches of the same colour.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> symmetry_name([rectangle(0, 0, 1, 2), rectangle(1, 0, 1, 2)], "ab", (1, 1))
    'D1'
    """
    groups: _Groups = []
    for outline, colour in zip(outlines, colours, strict=True):
        points = []
        disc = _disc(outline)
        if disc:  # where its arcs happen to begin says nothing about a disc
            groups.append(
                ((colour, round(disc.radius, _DIGITS)), np.array([(disc.cx, disc.cy)]) - centre)
            )
            continue
        for p, q, b in plain_outline(outline, arcs=True).edges():
            points.append(p)
            if b:
                arc = arc_of(p, q, b)
                points.append(arc.point(arc.start + arc.sweep / 2))
        groups.append((colour, np.array(points) - centre))
    wanted = _keys(groups, np.eye(2))
    order = next((n for n in _ORDERS if _keys(groups, _turn(360 / n)) == wanted), 1)
    flip = np.array([[-1.0, 0.0], [0.0, 1.0]])
    steps = sorted({(360 * k / 48) % (360 / order) for k in range(48)})
    mirrored = any(_keys(groups, _turn(a) @ flip) == wanted for a in steps)
    return f"{'D' if mirrored else 'C'}{order}"


def _disc(outline: Outline) -> Arc | None:
    """The circle that an outline is, if it is one."""
    if not all(outline.bulges):
        return None
    arcs = [arc_of(p, q, b) for p, q, b in outline.edges()]
    first = arcs[0]
    same = all(math.dist((a.cx, a.cy), (first.cx, first.cy)) < SAME_CORNER for a in arcs)
    return first if same else None


def _turn(degrees: float) -> NDArray[np.float64]:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return np.array([[c, -s], [s, c]])


def _keys(
    groups: _Groups, matrix: NDArray[np.float64]
) -> set[tuple[Hashable, frozenset[tuple[float, ...]]]]:
    sizes = [len(points) for _, points in groups]
    moved = np.round(np.concatenate([p for _, p in groups]) @ matrix.T, _DIGITS) + 0.0
    rows = [tuple(r) for r in moved.tolist()]
    out, at = set(), 0
    for (colour, _), size in zip(groups, sizes, strict=True):
        out.add((colour, frozenset(rows[at : at + size])))
        at += size
    return out


def turns_onto_itself(outline: Outline, quarter_turns: int, mirror: bool) -> bool:
    """Whether an outline covers the same place after being turned about the middle of its box.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> turns_onto_itself(rectangle(0, 0, 2, 1), 2, True)
    True
    >>> turns_onto_itself(rectangle(0, 0, 2, 1), 1, False)
    False
    """
    x0, y0, x1, y1 = outline.bounds
    turned = outline.turned(90.0 * quarter_turns, ((x0 + x1) / 2, (y0 + y1) / 2), mirror=mirror)

    def key(o: Outline) -> set[tuple[float, ...]]:
        return {tuple(round(v, 7) + 0.0 for v in (*p, *q, b)) for p, q, b in o.edges()}

    return key(turned) == key(outline)
