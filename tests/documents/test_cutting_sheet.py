"""Cutting sheets: every piece in the order of cuts, leftovers left, no label over another."""

from __future__ import annotations

import itertools
import re
from typing import Any

import pytest
import shapely
from shapely.geometry import box

from quiltgeom.cutting.buying.cloth_sizes import parse_cloths
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.listing import CAUTION, cut_lines
from quiltgeom.cutting.order import cut_order, leftovers
from quiltgeom.cutting.order_lines import order_lines
from quiltgeom.documents.cutting_pages import cutting_sheet
from quiltgeom.documents.cutting_pages.cutting_sheet import cutting_sheets
from quiltgeom.documents.sheet import LETTER
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.render.scene import Fill, Scene, Solid
from quiltgeom.render.text import text_path, wrap_text

A4 = (210 / 25.4, 297 / 25.4)
KEYS = ["fish-boxes", "gull-cove", "lamp-room", "lighthouse-keep", "rope-walk", "slipway"]


@pytest.fixture(scope="module")
def plans() -> dict[str, CutPlan]:
    made = {k: cut_plan(lay_out(load_patterns().get(k)), {}, effort=0) for k in KEYS}
    quilt = lay_out(load_patterns().get("rope-walk"), rows=6, columns=6)
    have = {"accent": parse_cloths("4*fat-quarter+2*9x40"), "focus": parse_cloths("4*18x40")}
    return made | {"in pieces": cut_plan(quilt, {}, have=have)}


def texts(scene: Scene) -> list[tuple[float, float, float, float]]:
    """Boxes of everything written on the sheet."""
    return [
        i.path.bounds
        for layer in scene.layers
        if layer.label == "cutting"
        for i in layer.items
        if isinstance(i, Fill)
        and isinstance(i.paint, Solid)
        and i.paint.opacity == 1
        and i.paint.colour in ("#222222", "#444444", "#555555")
    ]


@pytest.mark.parametrize("paper", [LETTER, A4], ids=["letter", "a4"])
def test_no_label_lies_on_another_or_off_the_page(
    plans: dict[str, CutPlan], paper: tuple[float, float]
) -> None:
    for key, plan in plans.items():
        for fabric in plan.fabrics:
            for page in cutting_sheets(fabric, plan.quilt.name, paper=paper):
                boxes = texts(page)
                shapes = [box(*b).buffer(-0.005) for b in boxes]
                assert all(box(0, 0, *paper).covers(s) for s in shapes), (key, fabric.role)
                tree = shapely.STRtree(shapes)
                hits = tree.query(shapes, predicate="intersects").T
                assert all(a == b for a, b in hits), (key, fabric.role)
                heights = sorted(b[3] - b[1] for b in boxes)
                assert heights[0] > 5.0 / 72 * 0.25  # the lowest letters of the smallest type
                assert len(boxes) > 6


def test_the_measure_sees_labels_on_one_another() -> None:
    shapes = [box(0, 0, 1, 1), box(0.9, 0.9, 2, 2)]
    assert len(shapely.STRtree(shapes).query(shapes, predicate="intersects").T) == 4


def test_the_order_of_cuts_names_every_piece_once(plans: dict[str, CutPlan]) -> None:
    for plan in plans.values():
        for fabric in plan.fabrics:
            wanted = {n.label: n.count for n in cut_lines(fabric)}
            found: dict[str, int] = {}
            for letter, n in (c for s in cut_order(fabric) for t in s.stacks for c in t):
                found[letter] = found.get(letter, 0) + n
            assert found == wanted
            numbers = [s.number for s in cut_order(fabric)]
            assert numbers == list(range(1, len(numbers) + 1))
            lines = order_lines(fabric)
            assert [n for line in lines for n in line.strips] == numbers
            ids = sorted(p.number for line in lines for p in line.pieces)
            assert ids == sorted(p.number for p in fabric.placed)
            for line in lines[1:]:
                words = r"trips? (\d+)(?: (?:to|and) (\d+))?: cut (\d+) strips?"
                said = re.search(words, line.text)
                assert said
                assert (int(said[1]), int(said[2] or said[1]), int(said[3])) == (
                    line.strips[0],
                    line.strips[-1],
                    len(line.strips),
                )


def test_leftovers_lie_on_the_cloth_and_under_no_piece(plans: dict[str, CutPlan]) -> None:
    seen = 0
    for plan in plans.values():
        for fabric in plan.fabrics:
            sizes = fabric.cloths or ((fabric.buy, fabric.width),)
            for r in leftovers(fabric):
                seen += 1
                here = box(r.x, r.y, r.x + r.width, r.y + r.height)
                length, width = sizes[r.cloth]
                assert box(0, 0, width, max(length, fabric.length)).buffer(1e-6).covers(here)
                for p in fabric.placed:
                    if p.cloth == r.cloth:
                        piece = box(p.x, p.y, p.x + p.width, p.y + p.height)
                        assert piece.intersection(here).area < 1e-9
            pairs = itertools.combinations(leftovers(fabric), 2)
            assert all(
                a.cloth != b.cloth
                or box(a.x, a.y, a.x + a.width, a.y + a.height)
                .intersection(box(b.x, b.y, b.x + b.width, b.y + b.height))
                .area
                < 1e-9
                for a, b in pairs
            )
    assert seen > 20


def test_the_caution_is_on_every_sheet(plans: dict[str, CutPlan]) -> None:
    assert "cut away from yourself" in CAUTION
    assert "maker's instructions" in CAUTION
    first = wrap_text(CAUTION, LETTER[0] - 1.2, 8)[0]
    for plan in [plans["gull-cove"], plans["in pieces"]]:
        for fabric in plan.fabrics:
            scene = cutting_sheets(fabric, plan.quilt.name)[0]
            y = max(b[3] for b in texts(scene))
            rows = [i for layer in scene.layers for i in layer.items if isinstance(i, Fill)]
            spots = [text_path(first, 0.6, y0, 8) for y0 in (y - 0.145, LETTER[1] - 0.45 - 0.145)]
            assert any(r.path == s for r in rows for s in spots)


def test_no_line_of_the_order_is_left_out_where_the_page_is_short(
    plans: dict[str, CutPlan], monkeypatch: pytest.MonkeyPatch
) -> None:
    fabric = max((f for p in plans.values() for f in p.fabrics), key=lambda f: len(order_lines(f)))
    written: list[str] = []
    draw = cutting_sheet.text_items

    def noted(lines: str | list[str], *rest: float, **more: Any) -> list[Fill]:
        written.extend([lines] if isinstance(lines, str) else lines)
        return draw(lines, *rest, **more)

    monkeypatch.setattr(cutting_sheet, "text_items", noted)
    pages = cutting_sheet.cutting_sheets(fabric, "Fish Boxes", paper=(8.5, 5.5))
    assert len(pages) > 1
    words = " ".join(written)
    assert all(line.text in words.replace("  ", " ") for line in order_lines(fabric))
    for page in pages:
        assert all(box(0, 0, 8.5, 5.5).covers(box(*b)) for b in texts(page))
    assert words.count("cut away from yourself") == len(pages)
