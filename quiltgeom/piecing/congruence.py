"""Units that are the same shape in the same fabrics, however they are turned or mirrored."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from quiltgeom.geometry.outline import Outline
from quiltgeom.tolerance import SAME_POINT, SMOOTH_RAD

__all__ = ["Shape", "ShapeCache", "plain_outline", "same_shape"]

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

    key: tuple[object, ...]
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
    labels = labels or [""] * len(outlines)
    plain = [plain_outline(o) for o in outlines]
    centre, area = 0j, 0.0
    for o in plain:
        c = o.polygon.centroid
        centre += complex(c.x, c.y) * o.area
        area += o.area
    centre /= area
    size = math.sqrt(area)
    rings = [(np.array([complex(*p) for p in o.points]) - centre) / size for o in plain]
    bulges = [o.bulges for o in plain]
    turned = _least(rings, bulges, labels)
    over = _least([-r[::-1].conj() for r in rings],
                  [tuple(-b if b else 0.0 for b in (*bs[-2::-1], bs[-1])) for bs in bulges],
                  labels, mirrored=True)  # fmt: skip
    key = (round(size / _STEP + _OFF_MARK), *min(turned, over))
    return Shape(key, 0 if turned == over else 1 if turned < over else -1)


class ShapeCache:
    """Shapes of groups of patches, each computed once."""

    def __init__(self, outlines: Sequence[Outline], labels: Sequence[str] = ()) -> None:
        self._outlines = [plain_outline(o) for o in outlines]
        self._labels = labels or [""] * len(outlines)
        self._known: dict[tuple[int, ...], Shape] = {}

    def shape(self, faces: tuple[int, ...]) -> Shape:
        """The shape of the patches with these numbers (ascending)."""
        if faces not in self._known:
            self._known[faces] = same_shape([self._outlines[f] for f in faces],
                                            [self._labels[f] for f in faces])  # fmt: skip
        return self._known[faces]

    def size(self, faces: tuple[int, ...]) -> tuple[int, float]:
        """Number of patches and area, rounded: a quick test before :meth:`key`."""
        return len(faces), round(sum(self._outlines[f].area for f in faces), 5)

    def key(self, faces: tuple[int, ...]) -> tuple[object, ...]:
        """See :class:`Shape`."""
        return self.shape(faces).key

    def hand(self, faces: tuple[int, ...]) -> int:
        """See :class:`Shape`."""
        return self.shape(faces).hand


def _least(
    rings: Sequence[np.ndarray], bulges: Sequence[tuple[float, ...]], labels: Sequence[str],
    *, mirrored: bool = False,
) -> tuple[object, ...]:  # fmt: skip
    """The least description over all turns that bring a farthest corner onto the x axis."""
    if mirrored:  # an outline is stored clockwise; the mirror image was walked backward
        bulges = [tuple(-b if b else 0.0 for b in bs) for bs in bulges]
    every = np.concatenate(rings)
    far = float(np.abs(every).max())
    if far < _STEP:
        return ()
    angles = sorted({round(float(a), 6): float(a)
                     for a in np.angle(every[np.abs(every) > far - _STEP])}.values())  # fmt: skip
    return min(_described(rings, bulges, labels, a) for a in angles)


def _described(
    rings: Sequence[np.ndarray], bulges: Sequence[tuple[float, ...]], labels: Sequence[str],
    angle: float,
) -> tuple[object, ...]:  # fmt: skip
    spin = complex(math.cos(angle), -math.sin(angle))
    out = []
    for ring, bs, label in zip(rings, bulges, labels, strict=True):
        z = ring * spin / _STEP
        marks = [(round(float(p.real) + _OFF_MARK), round(float(p.imag) + _OFF_MARK),
                  round(b * 1e4)) for p, b in zip(z, bs, strict=True)]  # fmt: skip
        first = marks.index(min(marks))
        out.append((label, *marks[first:], *marks[:first]))
    return tuple(sorted(out))


def plain_outline(outline: Outline) -> Outline:
    """The outline without corners at which nothing turns, or that are written twice.

    >>> plain_outline(Outline(((0, 0), (1, 0), (2, 0), (2, 2)))).points
    ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0))
    """
    every = list(outline.edges())
    edges = [e for e in every if e[2] or math.dist(e[0], e[1]) > SAME_POINT]
    keep = [k for k in range(len(edges)) if not _runs_on(edges[k - 1], edges[k])]
    if len(keep) == len(every) or len(keep) < 3:
        return outline
    return Outline(tuple(edges[k][0] for k in keep), tuple(edges[k][2] for k in keep))


def _runs_on(
    one: tuple[tuple[float, float], tuple[float, float], float],
    two: tuple[tuple[float, float], tuple[float, float], float],
) -> bool:
    if one[2] or two[2]:
        return False
    (x0, y0), (x1, y1), _ = one
    x2, y2 = two[1]
    turn = math.atan2(y2 - y1, x2 - x1) - math.atan2(y1 - y0, x1 - x0)
    return abs(math.remainder(turn, 2 * math.pi)) < SMOOTH_RAD
