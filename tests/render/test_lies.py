"""Every way a print may lie, in one quilt of each setting, checked against rules written out here.

The expected angle comes from the words of each lie and from where the block stands, not from the
library's own ``lie_deg``; then it is read back from the pixels.
"""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest

from quiltgeom.geometry.outline import rectangle
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.model.block import Block, Patch, plain_block
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.pattern import Border, Cell, Lie, Pattern, RoleSpec, Sashing, Setting, Tile
from quiltgeom.model.quilt import Piece, Quilt
from tests.render.test_orientation import PPI, UNIT_IN, draw, measure, whole_arrows

LIES: tuple[Lie, ...] = ("upright", "block", "unit", "strip")
TURNS = (0, 1, 2, 3)


def block() -> Block:
    """Unlike its mirror image: a tall plank, and a square patch turned a quarter."""
    patches = (
        Patch(rectangle(0, 0, 1, 2), "focus", "plank"),
        Patch(rectangle(1, 0, 1, 1), "focus", "square", turn_deg=90.0),
        Patch(rectangle(1, 1, 1, 1), "focus", "plain"),
    )
    return Block("three", "Three", 2, 2, patches, rectangle(0, 0, 2, 2))


def pattern(setting: Setting, lie: Lie, border: Border, sashing: Sashing | None) -> Pattern:
    spec = {"focus": RoleSpec("focus", lie=lie, main=True), "edge": RoleSpec("edge", lie="upright")}
    cells = tuple(tuple(Cell("A", q, m) for q in TURNS) for m in (False, True))
    tiles = {"A": Tile(block()), "U": Tile(plain_block(1, 1, "edge"))}
    return Pattern(
        "lies",
        "Lies",
        "",
        setting,
        6.0,
        2,
        4,
        spec,
        tiles,
        cells,
        inner=cells,
        sashing=sashing,
        borders=(border,),
        side_role="edge",
        corner_role="edge",
    )


def expected(lie: Lie, part: str, turn: float, mirror: bool) -> float:
    """Clockwise from upright, for a block turned by ``turn`` degrees."""
    if lie == "upright":
        return 0.0
    if lie == "block":
        return turn
    if lie == "unit":  # mirrored sewing turns the other way
        return turn + {"square": -90.0 if mirror else 90.0}.get(part, 0.0)
    # strips run along the longest edge; cloth lies square to it, never upside down
    runs = (turn + {"plank": 90.0}.get(part, 0.0)) % 180.0
    if part != "plank":  # a square patch: its level edge, as it stands in the block
        runs = turn % 180.0
    return runs - 180.0 if runs > 90.0 else runs


def read(quilt: Quilt, fabric: Fabric) -> dict[int, list[float]]:
    """Angles read from the pixels, by piece; the scale is checked on the way."""
    grey = draw(quilt, fabric)
    found: dict[int, list[float]] = {}
    for piece in quilt:
        for arrow in whole_arrows(grey, piece):
            angle, unit = measure(arrow)
            assert unit == pytest.approx(UNIT_IN * PPI, rel=0.01), piece.place
            found.setdefault(piece.index, []).append(angle)
    return found


def turn_and_mirror(piece: Piece, tilt: float) -> tuple[float, bool]:
    """From the place's name: column c holds quarter turns c - 1, every second row is mirrored."""
    row, column = (int(v) for v in piece.place.split()[-1].split(","))
    return 90.0 * ((column - 1) % 4) + tilt, row % 2 == 0


def check(quilt: Quilt, fabric: Fabric, lie: Lie, tilt: float) -> set[tuple[str, float, bool]]:
    read_in = set()
    for index, angles in read(quilt, fabric).items():
        piece = quilt.pieces[index]
        if "block" in piece.place:
            turn, mirror = turn_and_mirror(piece, tilt)
            want = expected(lie, piece.patch.part, turn, mirror)
            read_in.add((piece.patch.part, turn, mirror))
        else:  # sashing, cornerstones, setting triangles, borders: role "edge", upright
            want = 0.0
            read_in.add((piece.place, 0.0, False))
        for angle in angles:
            off = (angle - want + 180.0) % 360.0 - 180.0
            assert abs(off) < 1.0, (piece.place, piece.patch.part, lie, angle, want)
    return read_in


@pytest.mark.parametrize(("setting", "lie"), list(product(("straight", "on-point"), LIES)))
def test_every_lie_in_every_turn_and_mirror(
    setting: Setting, lie: Lie, arrow_files: list[Path]
) -> None:
    sashing = Sashing(0.25, "edge", "edge", outer=True) if setting == "straight" else None
    made = pattern(setting, lie, Border(0.25, "edge"), sashing)
    quilt = lay_out(made, rows=2, columns=4)
    tilt = 45.0 if setting == "on-point" else 0.0
    up = LIES.index(lie)  # a photo of each orientation, too
    fabric = Fabric(
        "arrows", image=arrow_files[up], width=12, direction="one-way", up_deg=90.0 * up
    )
    seen = check(quilt, fabric, lie, tilt)
    for part, turn, mirror in product(("plank", "square", "plain"), TURNS, (False, True)):
        assert (part, 90.0 * turn + tilt, mirror) in seen
    others = {place for place, _, _ in seen}
    assert {"border 1 top", "border 1 left"} <= others
    wanted = {"sashing", "cornerstone"} if sashing else {"side triangle", "corner triangle"}
    assert wanted <= others


SIDES = {"top": 0.0, "bottom": 0.0, "left": 90.0, "right": 90.0}


@pytest.mark.parametrize("corners", ["butted", "mitred", "squares"])
@pytest.mark.parametrize("lie", ["upright", "strip"])
def test_every_kind_of_border(corners: str, lie: Lie, arrow_files: list[Path]) -> None:
    border = Border(0.5, "edge", corners, "edge", lie=lie)  # type: ignore[arg-type]
    quilt = lay_out(pattern("straight", "upright", border, None), rows=2, columns=2)
    fabric = Fabric("arrows", image=arrow_files[0], width=12, direction="one-way")
    seen = set()
    for index, angles in read(quilt, fabric).items():
        place = quilt.pieces[index].place.removeprefix("border 1 ")
        want = SIDES.get(place, 0.0) if lie == "strip" else 0.0
        assert all(abs((a - want + 180) % 360 - 180) < 1.0 for a in angles), (place, angles)
        seen.add(place)
    assert set(SIDES) <= seen
    assert ("corner" in seen) == (corners == "squares")


def test_a_pieced_border_turns_its_units_outward(arrow_files: list[Path]) -> None:
    border = Border(0.5, unit="U", unit_length=0.5, corner_unit="U")
    made = pattern("straight", "upright", border, None)
    made.roles["edge"] = RoleSpec("edge", lie="block")
    quilt = lay_out(made, rows=2, columns=2)
    fabric = Fabric("arrows", image=arrow_files[0], width=12, direction="one-way")
    want = {"top": 0.0, "right": 90.0, "bottom": 180.0, "left": 270.0}
    seen = set()
    for index, angles in read(quilt, fabric).items():
        side = quilt.pieces[index].place.removeprefix("border 1 ")
        if side in want:
            seen.add(side)
            assert all(abs((a - want[side] + 180) % 360 - 180) < 1.0 for a in angles)
    assert seen == set(want)


def test_the_rules_can_fail(arrow_files: list[Path]) -> None:
    quilt = lay_out(pattern("straight", "block", Border(0.25, "edge"), None), rows=2, columns=4)
    fabric = Fabric("arrows", image=arrow_files[0], width=12, direction="one-way")
    with pytest.raises(AssertionError):
        check(quilt, fabric, "unit", 0.0)
