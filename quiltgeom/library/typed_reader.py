"""Numbers, roles and outlines of a block file, beside what any table holds."""

import math
from collections.abc import Mapping
from typing import Any

from quiltgeom.errors import Finding, QuiltError
from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.library.notation.expression import LARGEST, SMALLEST, evaluate
from quiltgeom.library.table import Table
from quiltgeom.tolerance import SAME_SHARE, SLIVER

_MOST_CORNERS = 500
_AT = '[[0, 0], [2, 0, "arc 1"], [2, 2]]'


class Reader:
    """Collects the findings of one file, and knows the names that its ``[let]`` defines.

    >>> reader = Reader("star.toml")
    >>> reader.let({"d": "3/(2+sqrt2)"})
    >>> round(reader.number("2*d", "star.toml", "x"), 4)
    1.7574
    """

    def __init__(self, where: str) -> None:
        self.where = where
        self.names: dict[str, float] = {}
        self.findings: list[Finding] = []

    def report(self, where: str, rule: str, found: object, accepted: str) -> None:
        """Add one finding."""
        self.findings.append(Finding(where, rule, str(found), accepted))

    def table(self, data: Mapping[str, Any], where: str) -> Table:
        """A table of the file, read key by key; its findings are collected here."""
        return Table(data, where, self.findings)

    def number(self, value: object, where: str, what: str) -> float:
        """A number or expression; not-a-number after a finding."""
        if type(value) in (int, float) and abs(value) <= LARGEST:  # type: ignore[arg-type]
            return float(value)  # type: ignore[arg-type]
        try:
            return evaluate(value, self.names)
        except QuiltError as e:
            self.report(where, f"{what} is a number", repr(value), str(e).split("accepted: ")[-1])
            return math.nan

    def numbers(self, value: object, where: str, what: str) -> list[float]:
        """A list of numbers, all above zero; empty after a finding."""
        if not isinstance(value, list) or not value:
            self.report(where, f"{what} is a list of numbers", repr(value), f"{what} = [1, 2, 1]")
            return []
        found = [self.number(v, where, what) for v in value]
        if not all(v >= SMALLEST for v in found):
            self.report(where, f"{what} are all above zero", repr(value), f"{what} = [1, 2, 1]")
            return []
        return found

    def pair(self, value: object, where: str, what: str) -> Point:
        """``[x, y]``; zeros after a finding."""
        if not isinstance(value, list) or len(value) != 2:
            self.report(where, f"{what} is [x, y]", repr(value), f"{what} = [1, 2]")
            return (0.0, 0.0)
        x, y = (self.number(v, where, what) for v in value)
        return (0.0, 0.0) if math.isnan(x) or math.isnan(y) else (x, y)

    def let(self, table: object) -> None:
        """Define names, each of which may use those before it."""
        if not isinstance(table, dict):
            self.report(self.where, "let is a table", repr(table), '[let]  d = "3/(2+sqrt2)"')
            return
        for key, value in table.items():
            self.names[key] = self.number(value, self.where, f"let {key}")

    def roles(self, value: object, where: str) -> list[str]:
        """A role or a list of roles; empty after a finding."""
        roles: list[Any] = value if isinstance(value, list) else [value]
        if not roles or not all(isinstance(r, str) and r.strip() for r in roles):
            known = "background, accent, focus, second, third, or a name of yours"
            self.report(where, "role is a name or a list of names", repr(value), known)
            return []
        return roles

    def outline(self, at: object, where: str) -> Outline | None:
        """Corners, each with an optional ``"arc RADIUS"`` to the next one."""
        if not isinstance(at, list) or len(at) < 2:
            self.report(where, "a list of at least 3 corners", repr(at), _AT)
            return None
        if len(at) > _MOST_CORNERS:
            self.report(where, "a patch of few corners", len(at), f"up to {_MOST_CORNERS}")
            return None
        before = len(self.findings)
        points: list[Point] = []
        radii: list[float] = []
        for k, corner in enumerate(at, 1):
            if not isinstance(corner, list) or len(corner) not in (2, 3):
                self.report(where, f"corner {k} is [x, y]", repr(corner), _AT)
                continue
            spot = f"{where}: corner {k}"
            x, y = self.number(corner[0], spot, "x, y"), self.number(corner[1], spot, "x, y")
            points.append((x, y))
            radii.append(self._radius(corner[2], spot) if len(corner) == 3 else 0.0)
        if len(self.findings) > before:
            return None
        return self._build(points, radii, where)

    def _radius(self, text: object, where: str) -> float:
        if not isinstance(text, str) or not text.startswith("arc "):
            self.report(where, "an arc is written 'arc RADIUS'", repr(text), '"arc 2", "arc -2"')
            return 0.0
        return self.number(text[4:], where, "radius")

    def _build(self, points: list[Point], radii: list[float], where: str) -> Outline | None:
        bulges = []
        for k, r in enumerate(radii):
            chord = math.dist(points[k], points[(k + 1) % len(points)])
            if r and chord > 2 * abs(r) * (1 + SAME_SHARE):
                spot, least = f"{where}: corner {k + 1}", f"a radius of at least {chord / 2:.6g}"
                found = f"radius {abs(r):.6g}, distance {chord:.6g}"
                self.report(spot, "the arc reaches the next corner", found, least)
                return None
            half = math.asin(min(1.0, chord / (2 * abs(r)))) if r else 0.0
            bulges.append(math.copysign(math.tan(half / 2), r) if r else 0.0)
        in_order = "corners in order round the patch"
        try:
            outline = Outline(tuple(points), tuple(bulges))
        except QuiltError as e:
            found = str(e).split("; accepted")[0].removeprefix("outline: ").removeprefix("found ")
            self.report(where, "an outline with an area", found, in_order)
            return None
        if len(points) > 3 and not outline.polygon.is_valid:
            self.report(where, "edges do not cross", f"corners {points}", in_order)
            return None
        if outline.area < SLIVER:
            self.report(where, "not a sliver", f"area {outline.area:.3g}", f"at least {SLIVER:g}")
            return None
        return outline


class Params(Table):
    """The parameters that a data file gives to a generator, read with limits and defaults.

    >>> p = Params({"rounds": 2}, Reader("cabin.toml"), "cabin.toml: make")
    >>> p.whole("rounds", 3, 1, 9), p.roles("roles", "accent")
    (2, ['accent'])
    """

    def __init__(self, table: Mapping[str, Any], reader: Reader, where: str) -> None:
        super().__init__(table, where, reader.findings)
        self.reader = reader

    def size(self, key: str, default: float, low: float, high: float) -> float:
        """A number or expression from ``low`` to ``high``; knows the names of ``[let]``."""
        value = self.reader.number(self.raw(key, default), self.where, key)
        if not low <= value <= high:
            if not math.isnan(value):
                self.report(f"{key} is in range", f"{value:g}", f"{low:g} to {high:g}")
            return default
        return value

    def roles(self, key: str, *default: str) -> list[str]:
        """One role or a list of roles."""
        return self.reader.roles(self.raw(key, list(default)), self.where) or list(default)
