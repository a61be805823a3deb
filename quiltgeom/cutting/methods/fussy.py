"""Fussy cutting: windows centred on the motifs of a print, on as little cloth as can be."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile
from typing import NamedTuple

import numpy as np

from quiltgeom.cutting.methods.cut_shapes import on_cloth, turned_point
from quiltgeom.cutting.methods.pieces import held
from quiltgeom.cutting.methods.unit import CutUnit
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.solver.budget import Budget, Stopped
from quiltgeom.errors import QuiltValueError
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.quilt import Quilt
from quiltgeom.tolerance import SAME_LENGTH, SAME_POINT

_WORK = 10**9
"""The search may count so much work unless the caller has a budget."""

_NODES = 40
"""Branches of the search per length: small lattices need a handful."""

_PROGRAMME = 500
"""An integer programme counts as so much work for each coefficient."""


@dataclass(frozen=True, slots=True)
class Lattice:
    """Where the motifs of a print lie on its cloth, print upright, inches: ``at + i a + j b``."""

    at: tuple[float, float]
    a: tuple[float, float]
    b: tuple[float, float]

    @property
    def rise(self) -> float:
        """After so much of the cloth's length the print repeats straight below itself, inches."""
        area = abs(self.a[0] * self.b[1] - self.a[1] * self.b[0])
        across = [abs(i * self.a[0] + j * self.b[0]) for i in range(3) for j in range(3)]
        columns = min((x for x in across if x > SAME_POINT), default=1.0)
        return area / columns

    def inside(self, width: float, length: float) -> list[tuple[float, float]]:
        """Motifs on a cloth, from its top, left to right."""
        corners = [(x - self.at[0], y - self.at[1]) for x in (0, width) for y in (0, length)]
        inverse = np.linalg.inv(np.array([self.a, self.b]).T)
        steps = np.array([inverse @ np.array(c) for c in corners])
        low, high = np.floor(steps.min(axis=0)).astype(int), np.ceil(steps.max(axis=0)).astype(int)
        found = [
            (self.at[0] + i * self.a[0] + j * self.b[0], self.at[1] + i * self.a[1] + j * self.b[1])
            for i in range(low[0], high[0] + 1)
            for j in range(low[1], high[1] + 1)
        ]
        kept = [(x, y) for x, y in found if 0 <= x <= width and 0 <= y <= length]
        return sorted(kept, key=lambda p: (round(p[1], 6), p[0]))


def motif_lattice(fabric: Fabric) -> Lattice | None:
    """The motifs of a fabric by its repeat; None if it has none.

    The motif is the fabric's, else the middle of its swatch; the cloth begins as the swatch does.

    >>> from quiltgeom.model.fabric import Repeat
    >>> kelp = Fabric("kelp", colour="#335544", repeat=Repeat(6, 8, "half-drop"), motif=(3, 4))
    >>> motif_lattice(kelp)
    Lattice(at=(3.0, 4.0), a=(6.0, 4.0), b=(0.0, 8.0))
    """
    repeat, motif = fabric.repeat, fabric.motif
    if repeat is None or (motif is None and fabric.image is None):
        return None
    if motif is None:
        from quiltgeom.fabric.cloth import cloth_of

        cloth = cloth_of(fabric)
        motif = (cloth.width / 2, cloth.height / 2)
    a, b = {
        "straight": ((repeat.width, 0.0), (0.0, repeat.height)),
        "half-drop": ((repeat.width, repeat.height / 2), (0.0, repeat.height)),
        "brick": ((repeat.width, 0.0), (repeat.width / 2, repeat.height)),
    }[repeat.kind]
    return Lattice(*(turned_point(v, -fabric.up_deg) for v in (motif, a, b)))


@dataclass(frozen=True, slots=True)
class Window:
    """Equal windows: their size, and where in them the motif goes, inches from the top left."""

    width: float
    height: float
    x: float
    y: float
    count: int


@dataclass(frozen=True)
class FussyPlan:
    """Windows on a cloth.

    Attributes:
        spots: ``(window, x, y)``: index and top left corner, inches.
        length: cloth that they take, inches.
        bound: no placing of these windows takes less.
    """

    spots: tuple[tuple[int, float, float], ...]
    length: float
    bound: float


def fussy_plan(
    windows: Sequence[Window], lattice: Lattice, width: float, budget: Budget | None = None
) -> FussyPlan:
    """The shortest cloth on which every window can lie on a motif of its own.

    Windows may not overlap; neighbouring motifs that a window covers are lost. Lengths are tried
    by halving; each is an integer programme over the motifs with all its cliques (rectangles that
    share a point), so that rows are chosen only where rows are best: on half-drop prints they
    often are not. Where the ``budget`` ends, the best so far is returned.

    Raises:
        QuiltValueError: a window fits nowhere on this width of cloth.

    >>> plan = fussy_plan([Window(4.5, 4.5, 2.25, 2.25, 20)], Lattice((3, 4), (6, 0), (0, 8)), 42)
    >>> len(plan.spots), plan.length, plan.bound
    (20, 22.25, 22.25)
    """
    length = _enough(windows, lattice, width)
    spots = _greedy(windows, _places(windows, lattice, width, length))
    best = max(s.bottom for s in spots)
    places = _places(windows, lattice, width, best)
    ends = sorted({round(s.bottom, 9) for s in places})
    area = sum(w.width * w.height * w.count for w in windows) / width
    low = next(i for i, e in enumerate(ends) if e >= area - SAME_LENGTH)
    high, proved, budget = len(ends) - 1, low, budget or Budget(work=_WORK)
    while low < high:
        middle = (low + high) // 2
        here = [s for s in places if s.bottom <= ends[middle] + SAME_LENGTH]
        try:
            found, sure = _most(windows, here, budget)
        except Stopped:
            break
        if found is not None:
            spots, high = found, middle
        else:
            if sure and low == proved:
                proved = middle + 1
            low = middle + 1
    length = max(s.bottom for s in spots)
    ordered = sorted(spots, key=lambda s: (round(s.top, 6), s.left))
    return FussyPlan(tuple(s[:3] for s in ordered), length, min(ends[proved], length))


def fussy_units(quilt: Quilt, role: str, options: CutOptions) -> list[CutUnit]:
    """Windows for the patches of a role (its borders are cut as usual): the patch in the middle.

    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("harbour-windows"), rows=1, columns=1)
    >>> [(u.wide, u.high) for u in fussy_units(quilt, "focus", CutOptions())]
    [(8.5, 8.5)]
    """
    units = []
    for piece in quilt:
        shape = on_cloth(piece)
        if piece.role != role or shape.is_border:
            continue
        w, h, member = held(shape, options.seam)
        units.append(CutUnit.of("fussy cut", w, h, [member], ruler=options.ruler, fixed=True))
    return units


def windows_of(units: Sequence[CutUnit]) -> list[tuple[Window, list[CutUnit]]]:
    """Units as windows, equal ones together."""
    groups: dict[tuple[float, float, float, float], list[CutUnit]] = {}
    for u in units:
        m = u.members[0]
        groups.setdefault((u.wide, u.high, round(m.x, 6), round(m.y, 6)), []).append(u)
    return [(Window(w, h, x, y, len(g)), g) for (w, h, x, y), g in sorted(groups.items())]


class _Spot(NamedTuple):
    """A window on a motif: its index, and its edges on the cloth."""

    window: int
    left: float
    top: float
    right: float
    bottom: float


_Spots = list[_Spot]


def _places(windows: Sequence[Window], lattice: Lattice, width: float, length: float) -> _Spots:
    motifs = lattice.inside(width, length)
    every = [(k, w, x - w.x, y - w.y) for k, w in enumerate(windows) for x, y in motifs]
    spots = (_Spot(k, x, y, x + w.width, y + w.height) for k, w, x, y in every)
    slack = SAME_LENGTH
    return [
        s
        for s in spots
        if min(s.left, s.top) >= -slack and s.right <= width + slack and s.bottom <= length + slack
    ]


def _enough(windows: Sequence[Window], lattice: Lattice, width: float) -> float:
    """A length on which one window of each kind after the other certainly fits."""
    total = 2 * max(w.height for w in windows) + 2 * lattice.rise
    for k, w in enumerate(windows):
        if not any(p.window == k for p in _places(windows, lattice, width, total)):
            raise QuiltValueError(
                f"fussy cut: found a window of {w.width:g} x {w.height:g} in; accepted: windows "
                f"for which a motif lies far enough inside {width:g} in of cloth"
            )
    rows = sum(w.count * (math.ceil(w.height / lattice.rise) + 1) for w in windows)
    return total + min(rows, 400) * lattice.rise


def _greedy(windows: Sequence[Window], places: _Spots) -> _Spots:
    left = [w.count for w in windows]
    out: _Spots = []
    for p in sorted(places, key=lambda p: (round(p.bottom, 6), p.left)):
        near = _ending_below(out, p.top - SAME_LENGTH)
        if left[p.window] and not any(_overlap(p, q) for q in near):
            out.append(p)
            left[p.window] -= 1
    if any(left):
        raise QuiltValueError(
            f"fussy cut: found {sum(left)} windows too many for the cloth that was looked at; "
            "accepted: fewer or smaller patches on the motif"
        )
    return out


def _ending_below(spots: _Spots, line: float) -> Iterator[_Spot]:
    return takewhile(lambda s: s.bottom > line, reversed(spots))


def _overlap(p: _Spot, q: _Spot) -> bool:
    return (
        max(p.left, q.left) < min(p.right, q.right) - SAME_LENGTH
        and max(p.top, q.top) < min(p.bottom, q.bottom) - SAME_LENGTH
    )


def _most(windows: Sequence[Window], places: _Spots, budget: Budget) -> tuple[_Spots | None, bool]:
    """All windows on these places, or None; and whether None is proved."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    wanted = sum(w.count for w in windows)
    if len(places) < wanted:
        return None, True
    rows = [[i for i, p in enumerate(places) if p.window == k] for k in range(len(windows))]
    limits = [float(w.count) for w in windows]
    cliques = sorted(_cliques(places, budget))
    data = [(r, i) for r, row in enumerate([*rows, *cliques]) for i in row]
    where = np.array(data, dtype=np.int32).T  # older releases of scipy's solver take no others
    shape = len(rows) + len(cliques), len(places)
    matrix = csr_array((np.ones(len(data)), (where[0], where[1])), shape=shape)
    budget.spend(_PROGRAMME * len(data))
    left, each = budget.left, np.ones(len(places))
    options = {"node_limit": _NODES} | ({} if left is None else {"time_limit": left})
    most = LinearConstraint(matrix, -np.inf, np.array([*limits, *[1.0] * len(cliques)]))
    result = milp(-each, integrality=each, bounds=Bounds(0, 1), constraints=most, options=options)
    if result.x is not None and round(-result.fun) >= wanted:
        return [p for p, x in zip(places, result.x, strict=True) if x > 0.5], True
    bound = getattr(result, "mip_dual_bound", None)
    return None, bool(bound is not None and -bound < wanted - 0.5)


def _cliques(places: _Spots, budget: Budget) -> set[tuple[int, ...]]:
    """Sets of places that share a point: rectangles that overlap pairwise always share one, at the
    left edge of one of them and the top edge of one of them."""
    _, x0, y0, x1, y1 = np.array(places).T
    found: set[tuple[int, ...]] = set()
    for i in range(len(places)):
        budget.spend(8 * len(places))
        overlap = (x0 < x1[i] - SAME_LENGTH) & (x1 > x0[i] + SAME_LENGTH)
        near = np.flatnonzero(overlap & (y0 < y1[i] - SAME_LENGTH) & (y1 > y0[i] + SAME_LENGTH))
        for y in sorted({*y0[near].tolist()}):
            across = (x0[near] <= x0[i] + SAME_LENGTH) & (x1[near] > x0[i] + SAME_LENGTH)
            hit = near[across & (y0[near] <= y + SAME_LENGTH) & (y1[near] > y + SAME_LENGTH)]
            if len(hit) > 1:
                found.add(tuple(int(h) for h in hit))
    return found
