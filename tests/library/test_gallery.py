"""The gallery: every block once, whole names, nothing off the paper, nothing over anything."""

from __future__ import annotations

import itertools
import re
from html import unescape

import pytest

from quiltgeom.documents.block_gallery.gallery import by_family, gallery_html
from quiltgeom.documents.block_gallery.gallery_pages import gallery_pages, some_names
from quiltgeom.documents.sheet import A4, LETTER
from quiltgeom.library.blocks import load_blocks
from quiltgeom.render.scene import Scene
from quiltgeom.render.text import text_width

SOME = [b for b in load_blocks() if b.family in ("octagon", "one-patch", "seven-patch", "unit")]


@pytest.fixture(scope="module", params=[LETTER, A4], ids=["letter", "a4"])
def pages(request: pytest.FixtureRequest) -> list[Scene]:
    return gallery_pages(by_family(SOME), title="Some", paper=request.param)


def boxes(page: Scene, label: str) -> list[tuple[float, float, float, float]]:
    return [
        i.path.bounds for x in page.layers if x.label == label for i in x.items if i.path.segments
    ]


def test_every_block_is_drawn_once(pages: list[Scene]) -> None:
    assert sum(len(boxes(p, "block")) for p in pages) == sum(len(b.patches) for b in SOME)


def test_nothing_leaves_the_paper_and_words_keep_off_pictures(pages: list[Scene]) -> None:
    for page in pages:
        for layer in page.layers:
            for item in layer.items:
                if item.path.segments:
                    x0, y0, x1, y1 = item.path.bounds
                    assert 0.4 < x0 <= x1 < page.width - 0.4
                    assert 0.4 < y0 <= y1 < page.height - 0.4
        words = boxes(page, "captions") + boxes(page, "foot") + boxes(page, "family")
        for a, b in itertools.product(boxes(page, "block"), words):
            apart = a[2] < b[0] or b[2] < a[0] or a[3] < b[1] + 0.02 or b[3] < a[1]
            assert apart, (a, b)


def test_words_keep_off_one_another(pages: list[Scene]) -> None:
    for page in pages:
        words = boxes(page, "captions")
        for a, b in itertools.combinations(words, 2):
            over = min(a[2], b[2]) - max(a[0], b[0])
            under = min(a[3], b[3]) - max(a[1], b[1])
            assert over < 0.01 or under < 0.01


def test_pages_are_well_filled(pages: list[Scene]) -> None:
    """Small families share a page: five rows and four headings are no more than two pages."""
    assert len(pages) <= 2


def test_long_lists_of_names_end_with_whole_names() -> None:
    names = ["Duck's-Foot-in-the-Mud", "Bear's Foot", "Hand of Friendship", "Paw Print", "Claws"]
    assert some_names(names, 1.5, 8, 1) == ["5 other names"]  # not even the first has room
    for lines in (2, 3):
        rows = some_names(names, 1.5, 8, lines)
        assert len(rows) <= lines
        assert all(text_width(r, 8) <= 1.5 for r in rows)
        whole = re.sub(r"^also | and \d+ more$", "", " ".join(rows))
        assert set(whole.split(", ")) <= set(names)
        left = re.search(r"and (\d+) more$", " ".join(rows))
        assert len(whole.split(", ")) + int(left[1] if left else 0) == len(names)


def test_page_for_the_browser_holds_everything_by_itself() -> None:
    page = gallery_html(SOME)
    assert not re.search(r"""(?:src|href)=["']https?:""", page)
    cards = re.findall(r"<h3>(.*?)</h3>", page)
    assert [unescape(c) for c in cards] == [b.name for _, bs in by_family(SOME) for b in bs]
    assert page.count("data:image/svg+xml") == len(SOME)
