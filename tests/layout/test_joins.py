"""Seams between two patches of one cloth: found exactly, and none through the print of a pattern
that shows it whole."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.outline import Outline, rectangle
from quiltgeom.geometry.placement import Placement
from quiltgeom.layout.joins import Join, joins
from quiltgeom.layout.quilt import fit_size, lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.block import Patch
from quiltgeom.model.pattern import Pattern, RoleSpec
from quiltgeom.model.quilt import Piece, Quilt

PATTERNS = list(load_patterns())
SLICED = {"rope-walk"}
"""Patterns whose print is sliced into strips that meet at their ends: that is what they are."""


def quilt_of(*made: tuple[Outline, str, float], placement: Placement | None = None) -> Quilt:
    pieces = tuple(
        Piece(k, Patch(o, role, ""), placement or Placement(), role, "independent", lie, "", "")
        for k, (o, role, lie) in enumerate(made)
    )
    roles = {role: RoleSpec(role) for _, role, _ in made}
    return Quilt("", "", 10, 10, 10, 1, 1, pieces, roles)


def half_disc(sign: float) -> Outline:
    return Outline(((0, 0), (4, 0)), (sign, 0.0))


def test_stacked_panels_meet_along_their_whole_width() -> None:
    quilt = quilt_of(
        (rectangle(0, 0, 6, 4), "focus", 0), (rectangle(0, 4, 6, 4), "focus", 0),
        (rectangle(6, 0, 2, 8), "background", 0),
    )  # fmt: skip
    assert joins(quilt, "focus") == [Join(0, 1, 6.0, True)]
    assert joins(quilt, "background") == []


def test_a_strip_between_panels_parts_them() -> None:
    quilt = quilt_of(
        (rectangle(0, 0, 6, 4), "focus", 0), (rectangle(0, 4, 6, 1), "background", 0),
        (rectangle(0, 5, 6, 3), "focus", 0),
    )  # fmt: skip
    assert joins(quilt, "focus") == []


def test_only_the_shared_part_of_an_edge_counts_and_points_do_not() -> None:
    quilt = quilt_of(
        (rectangle(0, 0, 4, 4), "focus", 0), (rectangle(3, 4, 4, 4), "focus", 90),
        (rectangle(4, 2, 2, 2), "focus", 360),
    )  # fmt: skip
    # 0 and 1 share 3..4; 1 and 2 share 4..6; 0 and 2 share a side's lower half
    assert joins(quilt, "focus") == [
        Join(0, 1, 1.0, False), Join(0, 2, 2.0, True), Join(1, 2, 2.0, False),
    ]  # fmt: skip
    corner = quilt_of((rectangle(0, 0, 2, 2), "focus", 0), (rectangle(2, 2, 2, 2), "focus", 0))
    assert joins(corner, "focus") == []


def test_patches_that_meet_along_two_edges_are_one_join() -> None:
    notched = Outline(((0, 0), (4, 0), (4, 4), (2, 4), (2, 2), (0, 2)))
    quilt = quilt_of((notched, "focus", 0), (rectangle(0, 2, 2, 2), "focus", 0))
    assert joins(quilt, "focus") == [Join(0, 1, 4.0, True)]


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("turn", [0, 1, 7, 18])
def test_arcs_are_measured_along_the_curve(turn: int, mirror: bool) -> None:
    # a half disc of radius 2, and a ground whose arc has another corner a third of the way round
    x, y = 2 - 2 * math.cos(math.pi / 3), -2 * math.sin(math.pi / 3)
    third, rest = math.tan(math.pi / 12), math.tan(math.pi / 6)
    ground = Outline(((0, 0), (x, y), (x, -9), (0, -9)), (third, 0, 0, 0))
    other = Outline(((x, y), (4, 0), (4, -9), (x, -9)), (rest, 0, 0, 0))
    place = Placement(3.3, 40, turn, 1.7, mirror)
    made = ((half_disc(1.0), "focus", 0), (ground, "focus", 0), (other, "focus", 0))
    quilt = quilt_of(*made, placement=place)
    found = {(j.first, j.second): j.length for j in joins(quilt, "focus")}
    assert found == {
        (0, 1): pytest.approx(1.7 * 2 * math.pi / 3),
        (0, 2): pytest.approx(1.7 * 4 * math.pi / 3),
        (1, 2): pytest.approx(1.7 * (9 + y)),
    }


def test_an_arc_does_not_meet_its_chord() -> None:
    below = rectangle(0, 0, 4, 4)
    quilt = quilt_of((half_disc(1.0), "focus", 0), (below, "focus", 0))
    assert joins(quilt, "focus") == [Join(0, 1, 4.0, True)]  # along the chord alone


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda p: p.key)
def test_all_seams_are_found_once(pattern: Pattern) -> None:
    # In an exact cover every seam lies between two patches: their perimeters hold each seam twice
    # and the quilt's own edge once.
    quilt = lay_out(pattern)
    one = replace(quilt, pieces=tuple(replace(p, role=pattern.main_role) for p in quilt))
    seams = sum(j.length for j in joins(one, pattern.main_role))
    around = sum(p.outline.perimeter for p in quilt)
    assert around == pytest.approx(2 * seams + 2 * (quilt.width + quilt.height), abs=1e-6)


@pytest.mark.parametrize("size", [None, (44, 60), (66, 84)], ids=["usual", "44x60", "66x84"])
@pytest.mark.parametrize("pattern", [p for p in PATTERNS if p.key not in SLICED],
                         ids=lambda p: p.key)  # fmt: skip
def test_no_seam_cuts_the_print_of_a_pattern(
    pattern: Pattern, size: tuple[float, float] | None
) -> None:
    quilt = lay_out(pattern, **(fit_size(pattern, *size) if size else {}))  # type: ignore[arg-type]
    assert joins(quilt, pattern.main_role) == []


def test_sliced_rails_meet_but_no_print_could_run_on() -> None:
    rails = joins(lay_out(load_patterns().get("rope-walk")), "focus")
    assert rails
    assert not any(j.same_lie for j in rails)


def test_an_unknown_role_is_one_error() -> None:
    quilt = quilt_of((rectangle(0, 0, 6, 4), "focus", 0))
    with pytest.raises(QuiltValueError, match=r"role: found 'main'; accepted: .*focus"):
        joins(quilt, "main")
