"""Whole quilts cut: every patch once, areas agree, the print lies as the preview shows."""

from __future__ import annotations

import itertools
import json
import math
from collections import Counter

import pytest
from click.testing import CliRunner
from PIL import Image
from shapely import affinity

from quiltgeom.cli import cli
from quiltgeom.cutting.buying.largest import largest_version
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.listing import CAUTION, plan_csv, plan_data, plan_text
from quiltgeom.cutting.methods.pieces import cut_units
from quiltgeom.geometry.allowance import offset_outline
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Direction, Fabric
from quiltgeom.units import INCHES
from tests.cutting.checker import faults

KEYS = [p.key for p in load_patterns()]


def fabrics(direction: Direction) -> dict[str, Fabric]:
    roles = {r for p in load_patterns() for r in p.roles}
    return {r: Fabric(r, colour="#88aacc", direction=direction) for r in sorted(roles)}


BLUNT = {
    "square cut once",
    "square cut twice",
    "half of a square cut twice",
    "pair of squares",
    "eight at a time",
    "no-waste geese",
    "no-waste skies",
    "flip base",
    "flip corner",
}


def apart(plan: CutPlan) -> None:
    """Patches from one rectangle lie two allowances apart, so that both allowances are there."""
    for placed in (p for f in plan.fabrics for p in f.placed):
        shapes = []
        for k, member in enumerate(placed.unit.members):
            shape = plan.quilt.pieces[member.piece].outline.turned(-placed.lie(k), (0, 0))
            x0, y0, x1, y1 = shape.bounds
            cx, cy = placed.centre(k)
            shapes.append(affinity.translate(shape.polygon, cx - (x0 + x1) / 2, cy - (y0 + y1) / 2))
        for a, b in itertools.combinations(shapes[:12], 2):
            assert a.distance(b) >= 2 * plan.options.seam - 1e-6, placed.unit.method


def check(plan: CutPlan) -> None:
    quilt, seam = plan.quilt, plan.options.seam
    seen: Counter[int] = Counter()
    for fabric in plan.fabrics:
        boxes = [(p.x, p.y, p.width, p.height) for p in fabric.placed]
        wanted = Counter((p.unit.width / 8, p.unit.height / 8) for p in fabric.placed)
        free = fabric.direction in ("four-way", "non-directional")
        assert faults(boxes, wanted, fabric.width, fabric.length, may_turn=free) == []
        for placed in fabric.placed:
            assert free or not placed.turned
            for k, member in enumerate(placed.unit.members):
                piece = quilt.pieces[member.piece]
                assert piece.role == fabric.role
                seen[piece.index] += 1 if member.part == 1 else 0
                turn = (placed.lie(k) - piece.lie_deg) % 360
                allowed = {"one-way": (0,), "two-way": (0, 180)}.get(fabric.direction)
                assert allowed is None or min(abs(turn - a) for a in (*allowed, 360)) < 1e-6
                if member.parts == 1:
                    # the patch with its allowance lies inside its rectangle
                    shape = offset_outline(piece.outline.turned(-placed.lie(k), (0, 0)), seam)
                    x0, y0, x1, y1 = piece.outline.turned(-placed.lie(k), (0, 0)).bounds
                    cx, cy = placed.centre(k)
                    a0, b0, a1, b1 = shape.bounds
                    dx, dy = cx - (x0 + x1) / 2, cy - (y0 + y1) / 2
                    # triangles: tips beyond the seam crossing are cut blunt by the square's edge
                    slack = 1.44 * seam if placed.unit.method in BLUNT else 1e-6
                    assert a0 + dx >= placed.x - slack
                    assert b0 + dy >= placed.y - slack
                    assert a1 + dx <= placed.x + placed.width + slack
                    assert b1 + dy <= placed.y + placed.height + slack
    assert seen == Counter({p.index: 1 for p in quilt})
    apart(plan)


@pytest.mark.parametrize(
    ("key", "direction"),
    list(zip(KEYS, itertools.cycle(["one-way", "non-directional"]), strict=False)),
)
def test_every_pattern_every_patch_once(key: str, direction: Direction) -> None:
    quilt = lay_out(load_patterns().get(key))
    check(cut_plan(quilt, fabrics(direction), effort=1))


@pytest.mark.parametrize("key", KEYS[1:4:2])
def test_smaller_and_larger_two_way(key: str) -> None:
    pattern = load_patterns().get(key)
    for size in (pattern.block_size * 0.75, pattern.block_size * 1.25):
        check(cut_plan(lay_out(pattern, block_size=size), fabrics("two-way"), effort=1))


def test_triangles_pair_up_only_as_the_print_allows() -> None:
    quilt = lay_out(load_patterns().get("gull-cove"))
    pieces = [p for p in quilt if p.role == "accent"]
    free = cut_units(pieces, "non-directional", 40)
    held = cut_units(pieces, "one-way", 40)
    squares = [len([u for u in us if u.method == "square cut once"]) for us in (held, free)]
    assert squares[0] >= squares[1]
    once = [u for u in free if u.method == "square cut once"]
    triangles = sum(len(u.members) for u in once)
    assert len(once) == math.ceil(triangles / 2)
    assert all(u.width == u.height for u in once)


def test_one_yard_of_each_is_answered_and_the_answer_is_checked() -> None:
    quilt = lay_out(load_patterns().get("gull-cove"), rows=2, columns=2)
    roles = [r for r, n in quilt.count_by_role.items() if n]
    plan = cut_plan(quilt, {}, have={r: (36.0, 40.0) for r in roles}, effort=2)
    for fabric in plan.fabrics:
        if fabric.status == "fits":
            assert all(p.y + p.height <= 36 for p in fabric.placed)
        if fabric.status == "impossible" and fabric.solution.certificate:
            assert fabric.solution.certificate.holds(fabric.demand)
    tiny = cut_plan(quilt, {}, have={r: (4.5, 20.0) for r in roles}, effort=2)
    assert not tiny.fits
    assert any(f.status == "impossible" for f in tiny.fabrics)


def test_resized_to_one_yard_of_each_it_fits_and_every_patch_is_there() -> None:
    pattern = load_patterns().get("harbour-windows")
    have = {r: (36.0, 40.0) for r in pattern.roles}
    found = largest_version(pattern, {}, have, least=1.0, most=1.0, effort=0, tries=1)
    assert found is not None
    plan = found.plan
    assert plan.fits
    check(plan)
    for fabric in plan.fabrics:
        assert max(p.y + p.height for p in fabric.placed) <= 36
        assert max(p.x + p.width for p in fabric.placed) <= 40


def test_lists_say_the_same_thing_in_every_form() -> None:
    plan = cut_plan(lay_out(load_patterns().get("sail-loft")), {}, effort=2)
    data = plan_data(plan)
    total = sum(c["patches"] for f in data["fabrics"] for c in f["cuts"])
    assert total == len(plan.quilt)
    assert len(plan_csv(plan).splitlines()) == 1 + sum(len(f["cuts"]) for f in data["fabrics"])
    for text in (plan_text(plan), plan_text(plan, markdown=True)):
        assert CAUTION in text
        assert all(str(f["role"]) in text for f in data["fabrics"])


def test_as_cut_points_show_the_planned_place_of_the_cloth(tmp_path) -> None:  # type: ignore[no-untyped-def]
    """A swatch whose colour tells its place: the picture shows the cloth where the plan cut it."""
    from quiltgeom.render.answer import save_scene
    from quiltgeom.render.mockup import mockup

    n, width = 400, 40.0
    swatch = Image.new("RGB", (n, n))
    swatch.putdata([(x * 255 // n, y * 255 // n, 128) for y in range(n) for x in range(n)])
    swatch.save(tmp_path / "place.png")
    cloth = Fabric("place", image=tmp_path / "place.png", width=width, direction="one-way")
    quilt = lay_out(load_patterns().get("gull-cove"), rows=2, columns=2)
    plan = cut_plan(quilt, {"focus": cloth}, effort=2)
    made, places = plan.as_cut()
    focus = {p.index for p in made if p.role == "focus"}
    chosen = {k: v for k, v in places.items() if k in focus}
    picture = mockup(made, {"focus": cloth}, places=chosen)
    save_scene(picture.scene, tmp_path / "quilt.png", ppi=20)
    image = Image.open(tmp_path / "quilt.png").convert("RGB")
    errors = []
    for piece in made:
        if piece.index not in focus:
            continue
        assert piece.lie_deg == quilt.pieces[piece.index].lie_deg
        x0, y0, x1, y1 = piece.outline.bounds
        px = image.getpixel((int((x0 + x1) / 2 * 20), int((y0 + y1) / 2 * 20)))
        cx, cy = chosen[piece.index]
        errors += [abs(px[0] - cx / width * 255), abs(px[1] - cy / width * 255)]
    assert focus
    assert sum(errors) / len(errors) < 2


def test_command(tmp_path) -> None:  # type: ignore[no-untyped-def]
    out = tmp_path / "cut"
    args = ["cut", "--pattern", "sail-loft", "--seconds", "1", "--json", "-o", str(out)]
    result = CliRunner().invoke(cli, args)
    assert result.exit_code == 0, result.output
    data = json.loads(result.output)
    assert {f["status"] for f in data["fabrics"]} <= {"optimal", "within"}
    names = sorted(p.name for p in out.iterdir())
    assert {"cut-focus.svg", "cut-focus.pdf", "cutting.csv", "plan.json"} <= set(names)
    assert json.loads((out / "plan.json").read_text()) == data


@pytest.mark.parametrize(
    "args",
    [
        ["cut"],
        ["cut", "--pattern", "sail-loft", "--have", "focus"],
        ["cut", "--pattern", "sail-loft", "--have", "kelp=36inx40in"],
        ["cut", "none.toml"],
    ],
)
def test_wrong_input_is_one_clear_error(args: list[str]) -> None:
    result = CliRunner().invoke(cli, args)
    assert result.exit_code == 2
    assert "Traceback" not in result.output


def test_sizes_are_whole_eighths_and_round_up() -> None:
    assert INCHES.up(2.0711) == 17
    assert INCHES.up(3.0 + 1e-12) == 24
