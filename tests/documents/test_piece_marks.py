"""Words on the cutting diagrams: each inside its pieces, none over another, every piece told; and
what is drawn of the cloth itself."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from shapely.geometry import box

from quiltgeom.cutting.buying.cloth_sizes import parse_cloths
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.fabric_plan import FabricPlan, PlacedUnit
from quiltgeom.cutting.methods.unit import CutUnit
from quiltgeom.cutting.order import cut_order
from quiltgeom.demo.swatches import write_swatches
from quiltgeom.documents.cutting_pages.cutting_diagram import (
    ABOVE,
    BELOW,
    GRAIN,
    MARKS,
    SELVAGE,
    ClothBox,
    arrange,
    draw_cloths,
)
from quiltgeom.documents.cutting_pages.piece_marks import Mark, piece_marks
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Fabric
from quiltgeom.render.scene import ClothPaint, Fill, Item, Solid, Stroke
from quiltgeom.render.text import text_path

KEYS = ["fish-boxes", "lamp-room", "lighthouse-keep", "rope-walk", "sail-loft", "tide-tables"]
ONE_WAY = {
    r: Fabric(r, colour="#88aacc", direction="one-way") for r in ("focus", "background", "accent")
}


@pytest.fixture(scope="module")
def plans() -> dict[str, CutPlan]:
    made = {k: cut_plan(lay_out(load_patterns().get(k)), {}, effort=0) for k in KEYS}
    made |= {
        f"{k} one-way": cut_plan(lay_out(load_patterns().get(k)), ONE_WAY, effort=0)
        for k in ("lamp-room", "sail-loft")
    }
    quilt = lay_out(load_patterns().get("rope-walk"), rows=6, columns=6)
    have = {"accent": parse_cloths("4*fat-quarter+2*9x40"), "focus": parse_cloths("4*18x40")}
    return made | {"in pieces": cut_plan(quilt, {}, have=have, effort=0)}


def marks_of(plan: FabricPlan, scale: float) -> list[Mark]:
    """All words on the pieces, cloths side by side."""
    labels = plan.labels

    def on_page(pieces: list[PlacedUnit]) -> tuple[float, float, float, float]:
        x0, y0 = min(p.x + 100 * p.cloth for p in pieces), min(p.y for p in pieces)
        x1 = max(p.x + p.width + 100 * p.cloth for p in pieces)
        y1 = max(p.y + p.height for p in pieces)
        return x0 * scale, y0 * scale, (x1 - x0) * scale, (y1 - y0) * scale

    strips = [[p for rows in s.rows for row in rows for p in row] for s in cut_order(plan)]
    return piece_marks(strips, labels, on_page)  # type: ignore[arg-type]


def ink(mark: Mark) -> list[tuple[float, float, float, float]]:
    return [i.path.bounds for i in mark.items(None)]


@pytest.mark.parametrize("scale", [0.05, 0.09, 0.13, 0.2])
def test_words_stay_inside_their_pieces(plans: dict[str, CutPlan], scale: float) -> None:
    for key, plan in plans.items():
        for fabric in plan.fabrics:
            for mark in marks_of(fabric, scale):
                x, y, w, h = mark.box
                room = box(x, y, x + w, y + h)
                assert all(room.covers(box(*b)) for b in ink(mark)), (key, mark)
                plate = mark.items("#ffffff")[0].path.bounds
                assert room.buffer(1e-9).covers(box(*plate)), (key, mark)


@pytest.mark.parametrize("scale", [0.05, 0.13])
def test_every_piece_lies_under_one_mark_with_its_letter(
    plans: dict[str, CutPlan], scale: float
) -> None:
    for key, plan in plans.items():
        for fabric in plan.fabrics:
            marks = marks_of(fabric, scale)
            for p, label in ((p, fabric.labels[p.number]) for p in fabric.placed):
                x, y = (p.x + 100 * p.cloth + p.width / 2) * scale, (p.y + p.height / 2) * scale
                over = [
                    m
                    for m in marks
                    if m.box[0] < x < m.box[0] + m.box[2] and m.box[1] < y < m.box[1] + m.box[3]
                ]
                assert [m.label for m in over] == [label], (key, p.number)
            assert sum(m.count for m in marks) == len(fabric.placed)
            boxes = [
                box(m.box[0], m.box[1], m.box[0] + m.box[2], m.box[1] + m.box[3]) for m in marks
            ]
            assert all(a.intersection(b).area < 1e-9 for a, b in itertools.combinations(boxes, 2))


def grid(across: int, down: int, side: float) -> list[PlacedUnit]:
    unit = CutUnit("rectangle", round(side * 8), round(side * 8))
    return [
        PlacedUnit(1 + k + across * n, unit, k * side, n * side, side, side, False)
        for n in range(down)
        for k in range(across)
    ]


def test_letter_and_size_on_each_piece_or_once_on_all() -> None:
    def words(scale: float) -> list[list[str]]:
        pieces = grid(16, 1, 2.5)
        marks = piece_marks(
            [pieces],
            {p.number: "D" for p in pieces},
            lambda some: (
                min(p.x for p in some) * scale,
                0.0,
                (max(p.x + p.width for p in some) - min(p.x for p in some)) * scale,
                2.5 * scale,
            ),
        )
        return [[text for text, _ in m.rows] for m in marks]

    assert words(0.3) == [["D", "2 1/2 x 2 1/2"]] * 16
    assert words(0.15) == [["D", '2 1/2"']] * 16
    assert words(0.06) == [['16 D  2 1/2"']]


def test_words_that_are_upright_are_read_from_below() -> None:
    mark = Mark("F", 1, (("F  1 1/2 x 40", 7.0),), (2.0, 3.0, 0.2, 4.0), upright=True)
    ((x0, y0, x1, y1),) = ink(mark)
    level = text_path("F  1 1/2 x 40", 0, 0, 7.0).bounds
    assert (y1 - y0, x1 - x0) == pytest.approx((level[2] - level[0], level[3] - level[1]))
    assert (x0 + x1) / 2 == pytest.approx(2.1, abs=0.01)
    first = min(mark.items(None)[0].path.segments, key=lambda s: -s[1][1] if s[1] else 0.0)
    assert first[1][1] > 5.0  # the first letter is at the bottom


def drawn(
    plan: FabricPlan, fabric: Fabric | None = None
) -> tuple[list[Item], list[ClothBox], float]:
    scale, boxes = arrange(plan.drawn, (7.0, 8.0), plan.straightening)
    ground, items = draw_cloths(plan, boxes, scale, fabric)
    return [*ground, *items], boxes, scale


def bands(items: list[Item]) -> list[tuple[float, float, float, float]]:
    return [i.path.bounds for i in items if isinstance(i, Fill) and i.paint == Solid("#e2ddd0")]


def folds(items: list[Item]) -> list[tuple[float, float, float, float]]:
    return [i.path.bounds for i in items if isinstance(i, Stroke) and len(i.dash) == 4]


def says(items: list[Item], words: str, points: float) -> int:
    """How often words are written, level."""

    def shape(item: Item) -> tuple[float, ...]:
        x0, y0, x1, y1 = item.path.bounds
        return round(x1 - x0, 6), round(y1 - y0, 6), len(item.path.segments)

    wanted = shape(Fill(text_path(words, 0.0, 0.0, points), Solid("#222222")))
    return sum(isinstance(i, Fill) and shape(i) == wanted for i in items)


def test_bought_cloth_has_selvages_fold_and_an_end_to_be_squared_up(
    plans: dict[str, CutPlan],
) -> None:
    plan = plans["rope-walk"].fabrics[0]
    items, (cloth,), scale = drawn(plan)
    left, right, end = sorted(bands(items), key=lambda b: (b[2] - b[0], b[0]))
    assert left[2] == pytest.approx(cloth.x)
    assert right[0] == pytest.approx(cloth.x + 40 * scale)
    for band in (left, right):
        assert band[3] - band[1] == pytest.approx(cloth.length * scale)
    assert end == pytest.approx((cloth.x, cloth.y - scale, cloth.x + 40 * scale, cloth.y))
    # with the inch that is squared up it is what is bought
    assert cloth.length + 1 == pytest.approx(plan.buy)
    assert [(b[0] + b[2]) / 2 for b in folds(items)] == pytest.approx([cloth.x + 20 * scale])
    assert says(items, "straight edge first", 7.0) == says(items, "fold", 6.5) == 1


def test_strips_along_the_cloth_and_wide_ones_are_not_cut_over_a_fold(
    plans: dict[str, CutPlan],
) -> None:
    for plan in (f for p in plans.values() for f in p.fabrics):
        items, boxes, _ = drawn(plan)
        strips = cut_order(plan)
        wanted = [
            b
            for b in boxes
            if b.width > 24
            and not plan.solution.lengthwise
            and any(s.size <= 24 for s in strips if s.cloth == b.cloth)
        ]
        assert len(folds(items)) == len(wanted)


def test_fat_quarters_have_neither_fold_nor_two_selvages(plans: dict[str, CutPlan]) -> None:
    plan = next(f for f in plans["in pieces"].fabrics if f.role == "accent")
    items, boxes, scale = drawn(plan)
    wide = [b for b in boxes if b.width == 40]
    assert (len(boxes), len(wide)) == (6, 2)
    selvages = [b for b in bands(items) if b[3] - b[1] > b[2] - b[0]]
    assert len(selvages) == 4
    assert len(bands(items)) == 4 + 6  # and the end of each that is squared up
    assert says(items, "straight edge first", 7.0) == 6
    rooms = [
        box(
            b.x - MARKS - SELVAGE,
            b.y - ABOVE,
            b.x + b.width * scale + SELVAGE + GRAIN,
            b.y + b.length * scale + BELOW,
        )
        for b in boxes
    ]
    assert all(a.intersection(b).area < 1e-9 for a, b in itertools.combinations(rooms, 2))


def test_words_lie_on_plates_over_real_cloth(plans: dict[str, CutPlan], tmp_path: Path) -> None:
    write_swatches(tmp_path, names=["deep-water"], ppi=30)
    real = Fabric("Deep water", image=next(tmp_path.glob("deep-water.*")), width=12.0)
    items, _, _ = drawn(plans["lighthouse-keep"].fabrics[2], real)
    assert any(isinstance(i, Fill) and isinstance(i.paint, ClothPaint) for i in items)
    marks = marks_of(plans["lighthouse-keep"].fabrics[2], 0.1)
    plates = [i for i in items if isinstance(i, Fill) and i.paint == Solid("#ffffff")]
    assert len(plates) >= len(marks) / 2
