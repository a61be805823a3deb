"""Symmetry: which turns and mirrors bring a drawing onto itself."""

import math
from collections.abc import Hashable, Sequence

import numpy as np
from numpy.typing import NDArray

from quiltgeom.geometry.congruence import plain_outline
from quiltgeom.geometry.outline import Arc, Outline, Point, arc_of
from quiltgeom.tolerance import SAME_CORNER

_DIGITS = 5
_ORDERS = (24, 16, 12, 10, 8, 6, 5, 4, 3, 2)


def symmetry_name(outlines: Sequence[Outline], colours: Sequence[Hashable], centre: Point) -> str:
    """``"D4"``, ``"C2"``, ...: order of turning, D where there are mirrors too.

        Args:
            colours: one per patch; patches must land on patches of the same colour.

        >>> from quiltgeom.geometry.congruence import plain_outline
    from quiltgeom.geometry.outline import rectangle
        >>> symmetry_name([rectangle(0, 0, 1, 2), rectangle(1, 0, 1, 2)], "ab", (1, 1))
        'D1'
    """
    groups: list[tuple[Hashable, NDArray[np.float64]]] = []
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
    groups: Sequence[tuple[Hashable, NDArray[np.float64]]], matrix: NDArray[np.float64]
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

        >>> from quiltgeom.geometry.congruence import plain_outline
    from quiltgeom.geometry.outline import rectangle
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
