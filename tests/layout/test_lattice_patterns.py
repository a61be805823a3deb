"""Patterns of blocks that are not squares: size, trimming, colouring, lie of the print, faults."""

from __future__ import annotations

import math
import tomllib
from collections import Counter

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.cover import polygon_faults
from quiltgeom.layout.lattice import lattice_rows
from quiltgeom.layout.quilt_layout import finished_size, lay_out
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.pattern_file import pattern_from_data
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.pattern import Pattern
from quiltgeom.piecing.difficulty import difficulty_of
from tests.layout.lattices import laid

HEAD = """
name = "Mine"
summary = "Mine"
setting = "lattice"
block = "4 in"
rows = 3
columns = 3
[roles.focus]
main = true
lie = "block"
[roles.background]
[roles.accent]
"""


def read(text: str, cells: str = "A") -> tuple[Pattern | None, list[str]]:
    data = tomllib.loads(HEAD + text) | {"cells": [cells]}
    pattern, findings = pattern_from_data(data, load_blocks(), key="mine", where="mine.toml")
    return pattern, [str(f) for f in findings]


def tiles(**blocks: str) -> str:
    return "\n".join(f'[tiles.{k}]\nuse = "{b}"' for k, b in blocks.items())


@given(rows=st.integers(1, 9), columns=st.integers(1, 9), side=st.floats(0.5, 6))
@settings(max_examples=15, deadline=None)
def test_size_of_a_field_of_hexagons(rows: int, columns: int, side: float) -> None:
    """Plane geometry: rows stand 3/2 s apart, blocks sqrt3 s; points above and below and the
    half blocks that every second row sticks out by are cut off."""
    pattern = load_patterns().get("buoy-field")
    quilt = lay_out(
        pattern, rows=rows, columns=columns, block_size=side * math.sqrt(3), borders=[1, 1]
    )
    assert quilt.width - 4 == pytest.approx((columns - 1 / 2) * math.sqrt(3) * side)
    assert quilt.height - 4 == pytest.approx((1.5 * rows - 0.5) * side)


def test_size_of_a_field_of_shells_and_tumblers() -> None:
    """Plane geometry: rows of shells stand one radius apart and show half of the first and of the
    last row; tumblers 3 : 2 : 3 stand 5 apart in pairs, cut where the long sides end."""
    shells = lattice_rows(load_blocks().get("clamshell"))
    assert shells.size(9, 4) == pytest.approx((7, 8))  # radius 1
    tumblers = lattice_rows(load_blocks().get("tumbler"))
    assert tumblers.size(4, 3) == pytest.approx((12, 12))


def test_no_two_hexagons_of_one_fabric_touch() -> None:
    quilt = lay_out(load_patterns().get("buoy-field"))
    field = [p for p in quilt if p.place.startswith("block")]
    tree = shapely.STRtree([p.polygon.buffer(-1e-6) for p in field])
    left, right = tree.query([p.polygon.buffer(1e-3) for p in field], predicate="intersects")
    pairs = [(field[i], field[j]) for i, j in zip(left, right, strict=True) if i < j]
    assert len(pairs) > len(field)
    assert all(a.role != b.role for a, b in pairs)


def test_trimmed_pieces_share_their_shapes() -> None:
    """What is alike is one shape, so that there is one template for it."""
    quilt = lay_out(load_patterns().get("buoy-field"))
    field = [p for p in quilt if p.place.startswith("block")]
    shapes = Counter((p.role, round(p.area, 6)) for p in field)
    assert len({id(p.patch) for p in field}) <= 2 * len(shapes)
    whole = sum(abs(p.area - 6 * 6 * math.sqrt(3) / 2) < 1e-9 for p in field)
    assert whole == 4 * 8 + 4 * 6  # inner rows: every second one ends in two halves
    assert len(field) == 5 * 8 + 5 * 9 - 5


def test_the_print_stands_upright_and_a_turned_block_turns_it() -> None:
    upright = lay_out(load_patterns().get("buoy-field"))
    assert {p.lie_deg for p in upright if p.role == "focus"} == {0.0}
    pattern, found = read(tiles(A="hexagon"), "A A2")
    assert found == []
    assert pattern is not None
    assert {p.lie_deg for p in lay_out(pattern)} == {0.0, 180.0}


@pytest.mark.parametrize("key", [b.key for b in load_blocks() if b.tile])
def test_any_block_with_vectors_makes_a_covered_quilt(key: str) -> None:
    roles = {r: "focus" for r in load_blocks().get(key).roles if r not in ("background", "accent")}
    table = ", ".join(f'{k} = "{v}"' for k, v in roles.items())
    pattern, found = read(f"{tiles(A=key)}\nroles = {{ {table} }}")
    assert found == []
    assert pattern is not None
    quilt = lay_out(pattern, rows=3, columns=3)
    assert (quilt.width, quilt.height) == pytest.approx(finished_size(pattern, 3, 3, 4.0))
    frame = shapely.box(0, 0, quilt.width, quilt.height)
    assert polygon_faults([p.polygon for p in quilt], frame) == []
    assert math.fsum(p.area for p in quilt) == pytest.approx(frame.area, rel=1e-9)


@pytest.mark.parametrize("key", ["clamshell", "apple-core-pair"])
def test_trimmed_arcs_share_their_polylines(key: str) -> None:
    patches = laid(load_blocks().get(key), 6.37, 5.13, 0.71, 1.29)
    polygons = [p.outline.polygon for p in patches]
    assert polygon_faults(polygons, shapely.box(0, 0, 6.37, 5.13)) == []


def test_too_few_rows_to_trim_are_refused() -> None:
    pattern = load_patterns().get("mussel-bed")
    with pytest.raises(QuiltValueError, match="straight-edged"):
        lay_out(pattern, rows=1, columns=4)


@pytest.mark.parametrize(
    ("cells", "text", "words"),
    [
        ("A", tiles(A="nine-patch"), ["tile A", "nine-patch has none"]),
        ("A B", tiles(A="hexagon", B="clamshell"), ["one outline", "clamshell"]),
        ("A1", tiles(A="hexagon"), ["turned tile", "A1"]),
        ("A", tiles(A="hexagon") + '\n[sashing]\nrole = "accent"', ["no sashing"]),
    ],
)
def test_each_fault_is_named(cells: str, text: str, words: list[str]) -> None:
    pattern, found = read(text, cells)
    assert pattern is None
    assert all(any(w in f for f in found) for w in words), found


def test_shells_are_no_beginners_quilt() -> None:
    """Common practice, no source: a field of shells is curved seams throughout."""
    found = difficulty_of(load_patterns().get("mussel-bed"))
    assert found.curved > 100
    assert found.level == 3
    assert "curved seams of the setting" in found.sentence
    assert difficulty_of(load_patterns().get("lobster-pots")).level == 0  # straight rows
