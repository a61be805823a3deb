"""Blocks drawn in cells: rows parted by |, cells by blanks, '.' covered by a span, X:wxh a span.

D L M C R plain; NW NE SE SW half-square triangles; QV QH quarter-square; F./f./p. a goose pointing
N E S W; SS SSi square on point; E square in square in square; R. two rails; 3H 3V 5H rails;
4P 4Q 9P checkers; kNE corner triangle of half the cell; ST stem along the diagonal.
"""

from __future__ import annotations

from pathlib import Path

from quiltgeom.geometry.outline import Outline

Poly = list[tuple[float, float]]
_TURN = {"N": 0, "E": 1, "S": 2, "W": 3}


def _turned(polys: list[Poly], quarter: int) -> list[Poly]:
    for _ in range(quarter):
        polys = [[(1 - y, x) for x, y in p] for p in polys]
    return polys


def _grid(columns: int, rows: int) -> list[Poly]:
    return [
        [
            (i / columns, j / rows),
            ((i + 1) / columns, j / rows),
            ((i + 1) / columns, (j + 1) / rows),
            (i / columns, (j + 1) / rows),
        ]
        for j in range(rows)
        for i in range(columns)
    ]


def _corners(token: str) -> list[Poly]:
    half = 0.5
    corners: list[Poly] = [
        [(0, 0), (half, 0), (0, half)],
        [(1, 0), (1, half), (half, 0)],
        [(1, 1), (half, 1), (1, half)],
        [(0, 1), (0, half), (half, 1)],
    ]
    if token != "E":
        return [*corners, [(half, 0), (1, half), (half, 1), (0, half)]]
    q, t = 0.25, 0.75
    inner: list[Poly] = [
        [(half, 0), (t, q), (q, q)],
        [(1, half), (t, t), (t, q)],
        [(half, 1), (q, t), (t, t)],
        [(0, half), (q, q), (q, t)],
    ]
    return [*corners, *inner, [(q, q), (t, q), (t, t), (q, t)]]


def cell(token: str) -> list[Poly]:
    """Polygons of a token in the unit square."""
    nw: list[Poly] = [[(0, 0), (1, 0), (0, 1)], [(1, 0), (1, 1), (0, 1)]]
    if token in ("NW", "NE", "SE", "SW"):
        return _turned(nw, ("NW", "NE", "SE", "SW").index(token))
    if token in ("QV", "QH"):
        m = (0.5, 0.5)
        return [[(0, 0), (1, 0), m], [(1, 0), (1, 1), m], [(1, 1), (0, 1), m], [(0, 1), (0, 0), m]]
    if token in ("SS", "SSi", "E"):
        return _corners(token)
    if token == "ST":
        q, t = 0.25, 0.75
        return [
            [(0, t), (0, 1), (q, 1), (1, q), (1, 0), (t, 0)],
            [(0, 0), (t, 0), (0, t)],
            [(1, 1), (q, 1), (1, q)],
        ]
    if token[0] == "k":
        made: list[Poly] = [
            [(0, 0), (0.5, 0), (0, 0.5)],
            [(0.5, 0), (1, 0), (1, 1), (0, 1), (0, 0.5)],
        ]
        return _turned(made, ("NW", "NE", "SE", "SW").index(token[1:]))
    if token[0] in "Ffp" and len(token) == 2:
        goose: list[Poly] = [
            [(0, 1), (0.5, 0), (1, 1)],
            [(0, 0), (0.5, 0), (0, 1)],
            [(0.5, 0), (1, 0), (1, 1)],
        ]
        return _turned(goose, _TURN[token[1]])
    rails = {
        "RN": (1, 2),
        "RS": (1, 2),
        "RE": (2, 1),
        "RW": (2, 1),
        "3H": (1, 3),
        "3V": (3, 1),
        "5H": (1, 5),
        "4P": (2, 2),
        "4Q": (2, 2),
        "9P": (3, 3),
    }
    return _grid(*rails.get(token, (1, 1)))


def outlines(cells: str, widths: str = "") -> list[Outline]:
    """The patches of a block drawn in cells."""
    rows = [r.split() for r in cells.split("|")]
    sizes = [float(w) for w in widths.split("-")] if widths else [1.0] * 99
    edge = [sum(sizes[:k]) for k in range(len(sizes) + 1)]
    found = []
    for j, row in enumerate(rows):
        for i, word in enumerate(row):
            if word == ".":
                continue
            token, _, span = word.partition(":")
            w, h = (int(v) for v in span.split("x")) if span else (1, 1)
            x, y, dx, dy = edge[i], edge[j], edge[i + w] - edge[i], edge[j + h] - edge[j]
            found += [Outline(tuple((x + a * dx, y + b * dy) for a, b in p)) for p in cell(token)]
    return found


def table() -> list[tuple[str, str, str, int, str]]:
    """(name, cells, widths, patches, seam class) of every drawn block."""
    text = (Path(__file__).parent / "cells.txt").read_text(encoding="utf-8")
    out = []
    for line in text.splitlines():
        if line and not line.startswith("#"):
            name, cells, widths, count, kind = (v.strip() for v in line.split(";"))
            out.append((name, cells, widths, int(count), kind))
    return out
