"""Backing, batting, binding, beds and the constants of the trade, as tables."""

from __future__ import annotations

from syrupy.assertion import SnapshotAssertion

from quiltgeom.cutting.buying.yardage import (
    BEDS,
    backing,
    batting,
    bed_quilt,
    bias_square,
    binding,
    binding_length,
    fussy_length,
    squares_from,
)
from quiltgeom.cutting.methods import constants as c

TOPS = ((32, 32), (44, 60), (60, 72), (63, 87), (100, 108))


def test_backing(golden: SnapshotAssertion) -> None:
    table = {}
    for w, h in TOPS:
        for cloth in (40, 42, 108):
            b = backing(w, h, cloth=cloth)
            table[f"{w} x {h} on {cloth}"] = {
                "length": b.length,
                "need": b.need,
                "panels": b.panels,
                "seams": b.seams,
                "at": b.places,
            }
    assert table == golden


def test_batting_binding_and_bias(golden: SnapshotAssertion) -> None:
    table = {}
    for w, h in TOPS:
        plain, joined = binding(w, h), binding(w, h, diagonal=True)
        around = binding_length(w, h)
        table[f"{w} x {h}"] = {
            "batting": batting(w, h),
            "binding length": around,
            "strips": plain.strips,
            "strips, joined aslant": joined.strips,
            "cloth": joined.length,
            "square for bias": bias_square(around, 2.5),
            "square for bias, seams counted": bias_square(around, 2.5, seams=True),
        }
    assert table == golden


def test_beds(golden: SnapshotAssertion) -> None:
    assert {bed: [bed_quilt(bed), bed_quilt(bed, drop=14, tuck=10)] for bed in BEDS} == golden


def test_squares_and_fussy_lengths(golden: SnapshotAssertion) -> None:
    cloths, sides = ((18, 21), (36, 40), (9, 40)), (2.5, 3.875, 5, 6.5)
    assert {
        "squares": {f"{s} of {n} x {w}": squares_from(n, w, s) for n, w in cloths for s in sides},
        "fussy": {
            f"20 of {s} on {r[0]} x {r[1]}, {'half-drop' if drop else 'straight'}": fussy_length(
                s, r, 20, cloth=40, half_drop=drop
            )
            for s in (3.5, 4.5)
            for r in ((6, 8), (12, 12))
            for drop in (False, True)
        },
    } == golden


def test_constants_of_triangles_and_geese(golden: SnapshotAssertion) -> None:
    table = {}
    for finished in (1.5, 2, 3, 4.5, 6):
        table[f"finished {finished}"] = {
            "half squares, two": c.half_square_square(finished),
            "half squares, four": c.half_square_square(finished, at_a_time=4),
            "half squares, eight": c.half_square_square(finished, at_a_time=8),
            "geese without waste": c.geese_no_waste(2 * finished),
        }
    assert table == golden
