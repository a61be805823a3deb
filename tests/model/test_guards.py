"""Every value of the model refuses what makes no sense, with one error that says all of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from quiltgeom.cutting.buying.cloth_sizes import ClothSize
from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.cutting.options import CutOptions
from quiltgeom.errors import ContentError, QuiltError
from quiltgeom.geometry.outline import Outline, rectangle
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.block import Block, Patch, plain_block
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric, Repeat
from quiltgeom.model.pattern import Border, Cell, Column, Pattern, RoleSpec, Sashing, Tile
from quiltgeom.proposal.proposal import propose
from quiltgeom.units import CENTIMETRES

NAN, INF = float("nan"), float("inf")
SQUARE = rectangle(0, 0, 1, 1)
LEFT, RIGHT = Patch(rectangle(0, 0, 1, 2), "focus"), Patch(rectangle(1, 0, 1, 2), "accent")
SKY = Fabric("sky", colour="#88aacc")


def patch(**changes: Any) -> Patch:
    return Patch(**({"outline": SQUARE, "role": "focus"} | changes))


def block(**changes: Any) -> Block:
    fields = {
        "key": "two",
        "name": "Two",
        "width": 2,
        "height": 2,
        "patches": (LEFT, RIGHT),
        "boundary": rectangle(0, 0, 2, 2),
    }
    return Block(**(fields | changes))


def pattern(**changes: Any) -> Pattern:
    fields: dict[str, Any] = {
        "key": "quay",
        "name": "Quay",
        "summary": "",
        "setting": "straight",
        "block_size": 12.0,
        "rows": 2,
        "columns": 2,
        "roles": {r: RoleSpec(r) for r in ("focus", "accent")},
        "tiles": {"A": Tile(block())},
        "cells": ((Cell("A"),),),
    }
    return Pattern(**(fields | changes))


def role(**changes: Any) -> RoleSpec:
    return RoleSpec(**({"name": "focus"} | changes))


def column(**changes: Any) -> Column:
    return Column(**({"cell": Cell("A"), "width": 1, "height": 1} | changes))


def sashing(**changes: Any) -> Sashing:
    return Sashing(**({"width": 0.25, "role": "focus"} | changes))


def border(**changes: Any) -> Border:
    return Border(**({"width": 0.5, "role": "focus"} | changes))


def design(**changes: Any) -> Design:
    return Design(**({"pattern": "harbour-windows"} | changes))


def fabric(**changes: Any) -> Fabric:
    return Fabric(**({"name": "kelp", "image": Path("kelp.jpg")} | changes))


def repeat(**changes: Any) -> Repeat:
    return Repeat(**({"width": 6, "height": 8} | changes))


def cloth(**changes: Any) -> ClothSize:
    return ClothSize(**({"length": 36, "width": 40} | changes))


Row = tuple[Callable[..., object], dict[str, Any], str]
WRONG: list[Row] = [
    (patch, {"outline": None}, "patch: outline: found None"),
    (patch, {"outline": "square"}, "patch: outline"),
    (patch, {"role": ""}, "patch: role: found ''"),
    (patch, {"role": 3}, "patch: role: found 3"),
    (patch, {"part": None}, "patch: part"),
    (patch, {"turn_deg": NAN}, "patch: turn deg: found nan"),
    (patch, {"turn_deg": "90"}, "patch: turn deg: found '90'"),
    (block, {"key": ""}, "block: key: found ''"),
    (block, {"name": 3}, "block two: name"),
    (block, {"width": 0}, "block two: width: found 0"),
    (block, {"height": "2"}, "block two: height: found '2'"),
    (block, {"width": INF}, "block two: width: found inf"),
    (block, {"patches": ()}, "at least one patch"),
    (block, {"patches": 3}, "block two: patches"),
    (block, {"patches": (LEFT, "right")}, "block two: patches"),
    (block, {"patches": (LEFT,)}, "no gap: found gap of 2 square units"),
    (block, {"patches": (LEFT, RIGHT, RIGHT)}, "patch 2 and patch 3: no overlap"),
    (block, {"patches": (LEFT, Patch(rectangle(1, 0, 2, 2), "a"))}, "inside the outline"),
    (block, {"boundary": None}, "block two: boundary"),
    (block, {"width": 3}, "the outline just fits the grid"),
    (block, {"aliases": "Pair"}, "block two: aliases: found 'Pair'"),
    (block, {"family": None}, "block two: family"),
    (block, {"source": 1}, "block two: source"),
    (block, {"notes": 1}, "block two: notes"),
    (block, {"tile": ((1, 0), (2, 0))}, "fill the plane"),
    (block, {"tile": ((1, 0), "up")}, "block two: tile"),
    (role, {"name": ""}, "role: name"),
    (role, {"cut": "torn"}, "role: cut: found 'torn'"),
    (role, {"lie": "up"}, "role: lie: found 'up'; accepted: upright"),
    (role, {"main": 1}, "role: main"),
    (Tile, {"block": "churn-dash"}, "tile: block: found 'churn-dash'"),
    (Tile, {"block": block(), "label": 3}, "tile: label"),
    (Cell, {"tile": ""}, "cell: tile"),
    (Cell, {"tile": "A", "quarter_turns": 4}, "cell: quarter turns: found 4"),
    (Cell, {"tile": "A", "mirror": "m"}, "cell: mirror"),
    (column, {"cell": "A"}, "column: cell"),
    (column, {"width": -1}, "column: width: found -1"),
    (column, {"height": NAN}, "column: height"),
    (column, {"spacer": -1}, "column: spacer"),
    (column, {"spacer": 0.5}, "column: spacer role: found ''"),
    (sashing, {"width": 0}, "sashing: width: found 0"),
    (sashing, {"role": ""}, "sashing: role"),
    (sashing, {"cornerstone": None}, "sashing: cornerstone"),
    (sashing, {"outer": "yes"}, "sashing: outer: found 'yes'"),
    (border, {"width": "1 in"}, "border: width: found '1 in'"),
    (border, {"role": ""}, "border: role"),
    (border, {"corners": "round"}, "border: corners: found 'round'"),
    (border, {"corners": "squares"}, "border: corner role: found ''"),
    (border, {"role": "", "unit": "A", "corner_unit": "A"}, "border: unit length: found 0.0"),
    (border, {"unit": "A", "unit_length": 1, "corner_unit": "A"}, "border: role: found 'focus'"),
    (border, {"unit_length": 1}, "border: unit length: found 1"),
    (border, {"unit": None}, "border: unit"),
    (border, {"corner_unit": 3}, "border: corner unit"),
    (border, {"lie": "along"}, "border: lie: found 'along'"),
    (pattern, {"key": 3}, "key: found 3"),
    (pattern, {"name": ""}, "pattern quay: name"),
    (pattern, {"summary": None}, "pattern quay: summary"),
    (pattern, {"setting": "spiral"}, "pattern quay: setting: found 'spiral'"),
    (pattern, {"block_size": 0}, "pattern quay: block size"),
    (pattern, {"block_size": "12 in"}, "pattern quay: block size: found '12 in'"),
    (pattern, {"rows": 2.5}, "pattern quay: rows: found 2.5"),
    (pattern, {"columns": 0}, "pattern quay: columns: found 0"),
    (pattern, {"roles": {}}, "at least one role"),
    (pattern, {"roles": {"focus": "focus"}}, "pattern quay: roles"),
    (pattern, {"roles": {"focus": RoleSpec("focus")}}, "tiles.A: every role of a tile"),
    (
        pattern,
        {"roles": {"focus": RoleSpec("focus"), "accent": RoleSpec("x")}},
        "name of role accent: found 'x'; accepted: accent",
    ),
    (pattern, {"tiles": {"A": block()}}, "pattern quay: tiles"),
    (pattern, {"cells": ()}, "pattern quay: cells: found none"),
    (pattern, {"cells": ((),)}, "pattern quay: cells"),
    (pattern, {"cells": ("A",)}, "pattern quay: cells"),
    (pattern, {"cells": ((Cell("B"),),)}, "cells: found 'B'; accepted: A"),
    (pattern, {"inner": ((Cell("C"),),)}, "inner: found 'C'"),
    (pattern, {"fold": 1}, "pattern quay: fold"),
    (pattern, {"setting": "columns"}, "a column setting has columns"),
    (pattern, {"stacks": (column(cell=Cell("B")),)}, "column 1: tile: found 'B'"),
    (pattern, {"stacks": (column(spacer=1, spacer_role="x"),)}, "column 1: spacer_role: found 'x'"),
    (
        pattern,
        {"stacks": tuple(column(spacer=s, spacer_role="focus") for s in (1, 2))},
        "of one height: found 1, 2",
    ),
    (pattern, {"sashing": 0.25}, "pattern quay: sashing"),
    (pattern, {"sashing": sashing(role="x")}, "sashing: role: found 'x'"),
    (pattern, {"sashing": sashing(cornerstone="x")}, "sashing: cornerstone: found 'x'"),
    (pattern, {"borders": (0.5,)}, "pattern quay: borders"),
    (pattern, {"borders": (border(role="x"),)}, "border 1: role: found 'x'"),
    (
        pattern,
        {"borders": (border(role="", unit="B", unit_length=1, corner_unit="A"),)},
        "border 1: unit: found 'B'",
    ),
    (
        pattern,
        {"setting": "on-point", "side_role": "focus", "corner_role": "x"},
        "edges: corner: found 'x'",
    ),
    (
        pattern,
        {"setting": "on-point", "side_role": "", "corner_role": "focus"},
        "edges: side: found ''",
    ),
    (pattern, {"setting": "lattice"}, "tile A fills the plane by vectors: found two has none"),
    (design, {"pattern": ""}, "design: pattern"),
    (design, {"pattern": None}, "design: pattern: found None"),
    (design, {"fabrics": {"focus": "#fff"}}, "design: fabrics"),
    (design, {"title": 3}, "design: title"),
    (design, {"block_size": "12 in"}, "design: block size: found '12 in'; accepted: above 0"),
    (design, {"block_size": -1}, "design: block size: found -1"),
    (design, {"rows": 0}, "design: rows"),
    (design, {"columns": "two"}, "design: columns: found 'two'"),
    (design, {"size": (44, 60), "rows": 2}, "rows and columns"),
    (design, {"size": (44, 60), "block_size": 12}, "block_size=12; accepted: one of the two"),
    (design, {"size": (44,)}, "design: size"),
    (design, {"size": ("44 in", "60 in")}, "design: size"),
    (design, {"size": (44, NAN)}, "design: size"),
    (design, {"borders": (2, 0)}, "design: borders: found (2, 0)"),
    (design, {"borders": 2}, "design: borders"),
    (design, {"sashing": INF}, "design: sashing"),
    (design, {"seed": 1.5}, "design: seed"),
    (design, {"fussy": "focus"}, "design: fussy: found 'focus'"),
    (design, {"seam": 2}, "seam allowance: found 2 in"),
    (design, {"seam": "1/4"}, "seam allowance: found '1/4'"),
    (design, {"units": "ell"}, "design: units: found 'ell'; accepted: in, cm"),
    (design, {"block_folders": "blocks"}, "design: block folders"),
    (design, {"overruled": {"rule": None}}, "design: overruled"),
    (design, {"offsets": {1: (0, NAN)}}, "design: offsets"),
    (design, {"offsets": {"one": (0, 1)}}, "design: offsets"),
    (design, {"locked": ("moon",)}, "locked: found role 'moon'"),
    (design, {"variants": {"tall": "harbour-windows"}}, "design: variants"),
    (
        design,
        {"fabrics": {"focus": SKY}, "locked": ("focus",), "variants": {"tall": design()}},
        "variant tall: found another cloth",
    ),
    (fabric, {"name": ""}, "fabric: name: found ''"),
    (fabric, {"name": 3}, "fabric: name: found 3"),
    (fabric, {"image": None}, "found neither of picture and colour"),
    (fabric, {"colour": "#fff"}, "found both of picture and colour"),
    (fabric, {"image": 3}, "fabric kelp: image"),
    (fabric, {"image": None, "colour": "red"}, "colour: found 'red'; accepted: #rrggbb"),
    (fabric, {"width": "12 in"}, "fabric kelp: width: found '12 in'; accepted: above 0"),
    (fabric, {"width": 0}, "fabric kelp: width: found 0"),
    (fabric, {"direction": "up"}, "direction: found 'up'; accepted: one-way"),
    (fabric, {"direction": ["one-way"]}, "fabric kelp: direction"),
    (fabric, {"up_deg": "90"}, "up deg: found '90'"),
    (fabric, {"repeat": (6, 8)}, "fabric kelp: repeat: found (6, 8)"),
    (fabric, {"motif": (1, -1)}, "fabric kelp: motif"),
    (fabric, {"motif": 3}, "fabric kelp: motif"),
    (fabric, {"declared": "yes"}, "fabric kelp: declared"),
    (repeat, {"width": -6}, "repeat: width: found -6"),
    (repeat, {"height": NAN}, "repeat: height: found nan"),
    (repeat, {"width": "6 in"}, "repeat: width: found '6 in'"),
    (repeat, {"kind": "foo"}, "repeat: kind: found 'foo'; accepted: straight"),
    (CutOptions, {"methods": {"focus": "torn"}}, "method of focus: found 'torn'"),
    (CutOptions, {"methods": "squares"}, "cutting: methods"),
    (CutOptions, {"rule": "guess"}, "rule: found 'guess'"),
    (CutOptions, {"lengthwise": "focus"}, "cutting: lengthwise"),
    (CutOptions, {"mitre_extra": -1}, "mitre extra: found -1"),
    (CutOptions, {"binding": "glue"}, "binding: found 'glue'"),
    (CutOptions, {"binding_strip": "2 in"}, "binding strip: found '2 in'"),
    (CutOptions, {"seam": None}, "seam allowance: found None"),
    (CutOptions, {"back_width": 5}, "back width: found 5"),
    (CutOptions, {"back_around": NAN}, "back around: found nan"),
    (CutOptions, {"spare": 0.01}, "spare strip: found 0.01"),
    (CutOptions, {"manner": "fast"}, "manner: found 'fast'"),
    (CutOptions, {"ruler": "in"}, "ruler: found 'in'"),
    (CutOptions, {"ruler": CENTIMETRES}, "constants: found trade, in centimetres"),
    (Terms, {"step": 0}, "step: found 0"),
    (Terms, {"step": "1/8 yd"}, "step: found '1/8 yd'"),
    (Terms, {"straighten": -1}, "straighten: found -1"),
    (Terms, {"shrink": NAN}, "shrink: found nan"),
    (Terms, {"ruler": None}, "ruler: found None"),
    (cloth, {"length": 0}, "cloth at hand: length: found 0"),
    (cloth, {"width": "40 in"}, "cloth at hand: width: found '40 in'"),
]


@pytest.mark.parametrize(("make", "wrong", "words"), WRONG)
def test_what_makes_no_sense_is_one_clear_error(
    make: Callable[..., object], wrong: dict[str, Any], words: str
) -> None:
    if words == "rows and columns":
        wrong, words = wrong | {"columns": 3}, "and rows=2 and columns=3"
    with pytest.raises(QuiltError) as caught:
        make(**wrong)
    text = str(caught.value)
    assert words in text
    assert "found" in text
    assert "accepted: " in text
    assert isinstance(caught.value, ContentError)
    assert len(caught.value.findings) == 1, text


@pytest.mark.parametrize(
    "wrong",
    [
        {"points": ((0, 0), (1, 0))},
        {"points": ((0, 0), (1, 0), (2, 0))},
        {"points": ((0, 0), (1, 0), (1, NAN))},
        {"points": ((0, 0), (1, 0), (1, "one"))},
        {"points": 3},
        {"points": SQUARE.points, "bulges": (1,)},
        {"points": SQUARE.points, "bulges": (None,) * 4},
    ],
)
def test_an_outline_is_one(wrong: dict[str, Any]) -> None:
    with pytest.raises(QuiltError, match=r"^outline: .*found .*accepted: "):
        Outline(**wrong)


def test_all_that_is_wrong_is_said_at_once() -> None:
    with pytest.raises(ContentError) as caught:
        fabric(width=-1, direction="up", up_deg=NAN, declared=None)
    assert len(caught.value.findings) == 4
    with pytest.raises(ContentError) as caught:
        pattern(cells=((Cell("B"), Cell("C")),), borders=(border(role="x"),))
    assert len(caught.value.findings) == 3


@pytest.mark.parametrize(
    "make", [patch, block, role, column, sashing, border, pattern, design, fabric, repeat, cloth]
)
def test_right_values_are_accepted_and_equal_their_like(make: Callable[..., Any]) -> None:
    assert make() == make()
    if make is not cloth:
        assert replace(make()) == make()
    if make not in (pattern, design):  # they hold tables
        assert hash(make()) == hash(make())


def test_lists_and_texts_of_paths_are_taken_as_what_they_mean() -> None:
    assert design(size=[44, 60], fussy=["focus"]) == design(size=(44, 60), fussy=("focus",))
    assert block(patches=[LEFT, RIGHT]) == block()
    assert fabric(image="kelp.jpg") == fabric()
    assert design(block_folders=["mine"]).block_folders == (Path("mine"),)


def test_what_comes_with_the_package_can_be_made_anew() -> None:
    for known in load_blocks():
        assert replace(known, notes="again").patches == known.patches
    for whole in load_patterns():
        assert replace(whole, rows=whole.rows) == whole
    assert plain_block(1, 2, "focus").is_rectangular


def test_a_copy_of_a_block_is_looked_at_like_any_other() -> None:
    with pytest.raises(ContentError, match="no gap"):
        replace(block(), patches=(LEFT,))


def test_large_values_say_what_they_are_in_a_line() -> None:
    chosen = load_patterns().get("harbour-windows")
    quilt = lay_out(chosen, rows=2, columns=2)
    plan = cut_plan(quilt, {}, effort=1)
    said = design(fabrics={"focus": SKY}, title="T" * 500)
    made = propose(said, quilt=quilt, planned=False)
    assert repr(quilt).startswith("<Quilt harbour-windows 33 x 33 in, 2 x 2 blocks, ")
    assert repr(SKY) == "<Fabric sky, #88aacc, non-directional>"
    assert repr(block()) == "<Block two, 2 x 2, 2 patches>"
    for value in (quilt, block(), chosen, said, fabric(name="k" * 500), plan, *plan.fabrics, made):
        text = repr(value)
        assert text.startswith(f"<{type(value).__name__} ")
        assert len(text) < 200
        assert "\n" not in text
