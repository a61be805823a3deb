"""One block file (TOML) to one :class:`~quiltgeom.model.block.Block`, with all findings."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from quiltgeom.errors import ContentError, Finding, QuiltError, raise_findings
from quiltgeom.geometry.cover import CoverFault, cover_faults
from quiltgeom.geometry.outline import Outline, Point, rectangle, split_arcs
from quiltgeom.library.expression import evaluate
from quiltgeom.model.block import Block, Patch
from quiltgeom.tolerance import SLIVER

__all__ = ["block_from_data", "check_block_file", "read_block_file"]

_KEYS = {"name", "aliases", "family", "grid", "source", "notes", "let", "patch", "outline"}
_PATCH_KEYS = {"role", "part", "at", "turn", "mirror", "centre", "shift"}


def read_block_file(path: str | Path) -> Block:
    """Read and audit one block file.

    Raises:
        ContentError: with every fault found (file, patch, rule, coordinates, size).
        QuiltError: the file cannot be read.
    """
    block, findings, _ = check_block_file(path)
    raise_findings(findings)
    if block is None:  # cannot happen: an unreadable file has findings
        raise ContentError(findings)
    return block


def check_block_file(path: str | Path) -> tuple[Block | None, list[Finding], list[CoverFault]]:
    """Read one block file and return what could be made of it together with all findings.

    Returns:
        The block (None if no patch could be read), the findings, and the cover faults as
        geometry, for drawing them.
    """
    path = Path(path)
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as e:
        return None, [Finding(path.name, "valid TOML", str(e), "see toml.io")], []
    except (OSError, UnicodeDecodeError) as e:
        return None, [Finding(path.name, "a readable text file", str(e), "UTF-8 text")], []
    return block_from_data(data, key=path.stem, where=path.name)


def block_from_data(
    data: Mapping[str, Any], *, key: str, where: str
) -> tuple[Block | None, list[Finding], list[CoverFault]]:
    """As :func:`check_block_file`, for a file already parsed."""
    reader = _Reader(data, where)
    name = reader.text("name", required=True)
    reader.unknown(data, _KEYS, where)
    names = reader.let()
    width, height = reader.grid(names)
    patches = reader.patches(names, (width / 2, height / 2))
    boundary = reader.boundary(names) or rectangle(0, 0, width, height)
    *outlines, boundary = split_arcs([*(p.outline for p in patches), boundary])
    patches = [replace(p, outline=o) for p, o in zip(patches, outlines, strict=True)]
    faults = cover_faults(outlines, boundary) if patches else []
    findings = reader.findings + [_cover_finding(f, where, reader.labels) for f in faults]
    if not patches:
        return None, findings or [Finding(where, "at least one patch", "none", "[[patch]]")], []
    block = Block(
        key, name or key, width, height, tuple(patches), boundary,
        aliases=reader.texts("aliases"), family=reader.text("family"),
        source=reader.text("source"), notes=reader.text("notes"), origin=where,
    )  # fmt: skip
    return block, findings, faults


def _cover_finding(fault: CoverFault, where: str, labels: Sequence[str]) -> Finding:
    x, y = fault.at
    box = ", ".join(f"{v:.4g}" for v in fault.geometry.bounds)
    who = " and ".join(labels[i] for i in fault.shapes)
    return Finding(
        f"{where}: {who}" if who else where,
        {"gap": "no gap", "overlap": "no overlap", "outside": "inside the outline"}[fault.kind],
        f"{fault.kind} of {fault.area:.6g} square units around ({x:.4g}, {y:.4g}), box [{box}]",
        "patches that cover the block exactly",
    )


class _Reader:
    """Reads the parts of a block file, collecting a finding for everything that is wrong."""

    def __init__(self, data: Mapping[str, Any], where: str) -> None:
        self.data, self.where = data, where
        self.findings: list[Finding] = []
        self.labels: list[str] = []

    def report(self, where: str, rule: str, found: object, accepted: str) -> None:
        self.findings.append(Finding(where, rule, str(found), accepted))

    def unknown(self, table: Mapping[str, Any], known: set[str], where: str) -> None:
        for key in sorted(set(table) - known):
            self.report(where, "known keys only", f"{key!r}", ", ".join(sorted(known)))

    def text(self, key: str, *, required: bool = False) -> str:
        value = self.data.get(key, "")
        if not isinstance(value, str) or (required and not value.strip()):
            self.report(self.where, f"{key} is a text", repr(value), f'{key} = "..."')
            return ""
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        value = self.data.get(key, [])
        if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
            self.report(self.where, f"{key} is a list of texts", repr(value), f'{key} = ["..."]')
            return ()
        return tuple(value)

    def number(self, value: object, names: Mapping[str, float], where: str, what: str) -> float:
        try:
            return evaluate(value, names)
        except QuiltError as e:
            self.report(where, f"{what} is a number", repr(value), str(e).split("accepted: ")[-1])
            return math.nan

    def let(self) -> dict[str, float]:
        names: dict[str, float] = {}
        table = self.data.get("let", {})
        if not isinstance(table, dict):
            self.report(self.where, "let is a table", repr(table), '[let]  d = "3/(2+sqrt2)"')
            return names
        for key, value in table.items():
            names[key] = self.number(value, names, self.where, f"let {key}")
        return names

    def grid(self, names: Mapping[str, float]) -> tuple[float, float]:
        value = self.data.get("grid")
        pair = value if isinstance(value, list) and len(value) == 2 else [value, value]
        sides = [self.number(v, names, self.where, "grid") for v in pair]
        if not all(v > 0 for v in sides):
            if not any(math.isnan(v) for v in sides):
                self.report(self.where, "grid is positive", value, "grid = 3 or grid = [4, 2]")
            return 1.0, 1.0
        return sides[0], sides[1]

    def boundary(self, names: Mapping[str, float]) -> Outline | None:
        if "outline" not in self.data:
            return None
        return self.outline(self.data["outline"], names, f"{self.where}: outline")

    def outline(self, at: object, names: Mapping[str, float], where: str) -> Outline | None:
        example = '[[0, 0], [2, 0, "arc 1"], [2, 2]]'
        if not isinstance(at, list) or len(at) < 2:
            self.report(where, "a list of at least 3 corners", repr(at), example)
            return None
        before = len(self.findings)
        points: list[Point] = []
        radii: list[float] = []
        for k, corner in enumerate(at):
            if not isinstance(corner, list) or len(corner) not in (2, 3):
                self.report(where, f"corner {k + 1} is [x, y]", repr(corner), example)
                continue
            x, y = (self.number(v, names, f"{where}: corner {k + 1}", "x, y") for v in corner[:2])
            points.append((x, y))
            radii.append(self._radius(corner, names, f"{where}: corner {k + 1}"))
        if len(self.findings) > before:
            return None
        return self._build(points, radii, where)

    def _radius(self, corner: list[Any], names: Mapping[str, float], where: str) -> float:
        if len(corner) == 2:
            return 0.0
        text = corner[2]
        if not isinstance(text, str) or not text.startswith("arc "):
            self.report(where, "an arc is written 'arc RADIUS'", repr(text), '"arc 2", "arc -2"')
            return 0.0
        return self.number(text[4:], names, where, "radius")

    def _build(self, points: list[Point], radii: list[float], where: str) -> Outline | None:
        bulges = []
        for k, r in enumerate(radii):
            p, q = points[k], points[(k + 1) % len(points)]
            chord = math.dist(p, q)
            if r and chord > 2 * abs(r) * (1 + 1e-12):
                self.report(f"{where}: corner {k + 1}", "the arc reaches the next corner",
                            f"radius {abs(r):.6g}, distance {chord:.6g}",
                            f"a radius of at least {chord / 2:.6g}")  # fmt: skip
                return None
            half = math.asin(min(1.0, chord / (2 * abs(r)))) if r else 0.0
            bulges.append(math.copysign(math.tan(half / 2), r) if r else 0.0)
        try:
            outline = Outline(tuple(points), tuple(bulges))
        except QuiltError as e:
            self.report(where, "an outline with an area", str(e),
                        "corners in order round the patch")  # fmt: skip
            return None
        if not outline.polygon.is_valid:
            self.report(where, "edges do not cross", f"corners {points}",
                        "corners in order round the patch")  # fmt: skip
            return None
        if outline.area < SLIVER:
            self.report(where, "not a sliver", f"area {outline.area:.3g}", f"at least {SLIVER:g}")
            return None
        return outline

    def patches(self, names: Mapping[str, float], centre: Point) -> list[Patch]:
        table = self.data.get("patch", [])
        if not isinstance(table, list):
            self.report(self.where, "patches are [[patch]] tables", repr(table), "[[patch]]")
            return []
        out: list[Patch] = []
        for k, entry in enumerate(table, 1):
            where = f"{self.where}: patch {k}"
            if not isinstance(entry, dict):
                self.report(where, "a [[patch]] table", repr(entry), "[[patch]]")
                continue
            copies = self._copies(entry, names, centre, where)
            out.extend(copies)
            self.labels.extend(
                f"patch {k}" + (f" copy {i + 1}" if len(copies) > 1 else "")
                for i in range(len(copies))
            )
        return out

    def _copies(
        self, entry: dict[str, Any], names: Mapping[str, float], centre: Point, where: str
    ) -> list[Patch]:
        """The patch as written, repeated by shift, mirror and turn."""
        self.unknown(entry, _PATCH_KEYS, where)
        roles = self._roles(entry, where)
        outline = self.outline(entry.get("at"), names, where)
        turns = entry.get("turn", 1)
        if not isinstance(turns, int) or isinstance(turns, bool) or not 1 <= turns <= 360:
            self.report(where, "turn is a count of copies", repr(turns), "1 to 360")
            turns = 1
        if "centre" in entry:
            pair = entry["centre"] if isinstance(entry["centre"], list) else [entry["centre"]] * 2
            x, y, *_ = (*(self.number(v, names, where, "centre") for v in pair), 0.0, 0.0)
            centre = (x, y)
        if outline is None or not roles:
            return []
        mirrors = (False, True) if entry.get("mirror", False) else (False,)
        shifts = self._shifts(entry.get("shift", [[0, 0]]), names, where)
        out: list[Patch] = []
        for dx, dy in shifts:
            for mirror in mirrors:
                for k in range(turns):
                    angle = 360.0 * k / turns
                    shape = outline.turned(angle, centre, mirror=mirror)
                    if dx or dy:
                        shape = Outline(
                            tuple((x + dx, y + dy) for x, y in shape.points), shape.bulges
                        )
                    role = roles[len(out) % len(roles)]
                    out.append(Patch(shape, role, entry.get("part", ""), angle))
        return out

    def _roles(self, entry: dict[str, Any], where: str) -> list[str]:
        value = entry.get("role", "")
        roles = value if isinstance(value, list) else [value]
        if not roles or not all(isinstance(r, str) and r for r in roles):
            self.report(where, "role is a name or a list of names", repr(value),
                        "background, accent, focus, second, third, or a name of yours")  # fmt: skip
            return []
        return roles

    def _shifts(self, value: object, names: Mapping[str, float], where: str) -> list[Point]:
        if not isinstance(value, list) or not all(
            isinstance(v, list) and len(v) == 2 for v in value
        ):
            self.report(where, "shift is a list of [dx, dy]", repr(value), "[[0, 0], [1, 0]]")
            return [(0.0, 0.0)]
        pairs = [[self.number(v, names, where, "shift") for v in pair] for pair in value]
        return [(x, y) for x, y in pairs]
