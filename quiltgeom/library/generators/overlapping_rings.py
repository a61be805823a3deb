"""Rings of pieced arcs that overlap: double wedding rings and pickle dishes."""

import math
from functools import partial

from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params

_R, _D = math.sqrt(2), 2.0  # rings of this radius, two apart, pass through one another's crossings
_QUARTER = math.tan(math.pi / 8)


def wedding_ring(p: Params) -> Drawing:
    """One ring's share of a quilt of overlapping rings: the hollow middle, the lens at its right
    and the lens below; copies two units apart fill the plane.

    ``wedges`` of an arc; ``width`` of the arcs (the ring's radius is 1.414); ``teeth = true``
    pieces the arcs of sharp triangles instead; ``roles`` of the wedges in turn (or of teeth and
    ground); ``crossing``: two roles of the squares where rings cross; ``melon``.
    """
    n, width = p.whole("wedges", 6, 2, 16), p.size("width", 0.24, 0.1, 0.35)
    teeth = p.flag("teeth")
    roles = p.roles("roles", "accent", "second", "focus", "third")
    crossing = p.roles("crossing", "accent", "second")
    melon = p.roles("melon", "background")[0]
    side = 1 + _R
    d = Drawing(side, side, tile=((_D, 0.0), (0.0, _D)))
    corners = ((0.0, 0.0), (_D, 0.0), (_D, _D), (0.0, _D))
    d.add(Outline(corners, (-_QUARTER,) * 4), "background", "centre")
    for quarter in (0, 1):  # to the right of the middle, then below it
        square = crossing[quarter % len(crossing)]
        for outline, role, part in _lens(n, _R - width, teeth, roles, square, melon):
            shape = outline.moved(1, 1).turned(90.0 * quarter, (1, 1))
            d.add(shape, role, part, 90.0 * quarter)
    d.boundary = Outline(corners, (-_QUARTER, _QUARTER, _QUARTER, -_QUARTER))
    return d


def _lens(
    n: int, r: float, teeth: bool, roles: list[str], crossing: str, melon: str
) -> list[tuple[Outline, str, str]]:
    """The lens between the rings round (0, 0) and (2, 0): a melon, two arcs, four squares."""
    half = math.sqrt(r * r - 1)  # the melon reaches so far up and down
    x = (_R * _R - r * r + _D * _D) / (2 * _D)  # on this ring and on the other's inner edge
    outer, inner = math.atan2(math.sqrt(_R * _R - x * x), x), math.atan2(half, 1.0)
    out = [(Outline(((1, -half), (1, half)), (_bulge(2 * inner),) * 2), melon, "melon")]
    arcs = _arc(n, r, outer, inner, teeth, roles)
    end: Point = (_R * math.cos(outer), _R * math.sin(outer))
    # the square at the lower tip; its sides along the rings are arcs of 45 degrees less the arc's
    tip = Outline(
        ((1, half), end, (1, 1), (_D - end[0], end[1])),
        (0, _bulge(math.pi / 4 - outer), _bulge(math.pi / 4 - outer), 0),
    )
    for degrees in (0.0, 180.0):
        out += [(o.turned(degrees, (1, 0)), role, part) for o, role, part in arcs]
        out.append((tip.turned(degrees, (1, 0)), crossing, "crossing"))
    return out


def _arc(
    n: int, r: float, outer: float, inner: float, teeth: bool, roles: list[str]
) -> list[tuple[Outline, str, str]]:
    """The arc on the ring round (0, 0), from -outer to outer on the ring and -inner to inner on
    its inner edge (angles)."""

    def at(radius: float, half: float, k: float) -> Point:
        a = -half + 2 * half * k / n
        return radius * math.cos(a), radius * math.sin(a)

    rim, hub = partial(at, _R, outer), partial(at, r, inner)
    over, under = _bulge(2 * outer / n), _bulge(2 * inner / n)
    out = []
    for k in range(n):
        if teeth:
            tooth = Outline((rim(k), rim(k + 1), hub(k + 0.5)), (over, 0, 0))
            out.append((tooth, roles[0], "tooth"))
        else:
            wedge = Outline((hub(k), rim(k), rim(k + 1), hub(k + 1)), (0, over, 0, -under))
            out.append((wedge, roles[k % len(roles)], "wedge"))
    if not teeth:
        return out
    for k in range(n + 1):
        low, high = max(0.0, k - 0.5), min(float(n), k + 0.5)
        bend = -_bulge((high - low) * 2 * inner / n)
        out.append((Outline((rim(k), hub(high), hub(low)), (0, bend, 0)), roles[-1], "between"))
    return out


def _bulge(sweep: float) -> float:
    return math.tan(sweep / 4)
