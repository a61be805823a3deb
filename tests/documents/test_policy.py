"""Every page that is written forbids all requests and all scripts and styles but its own."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import quiltgeom
from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.documents.block_gallery.gallery import write_gallery
from quiltgeom.documents.kit_html import kit_html
from quiltgeom.documents.proof_page import write_proof_page
from quiltgeom.files import write_whole
from quiltgeom.jobs.advise import Brief
from quiltgeom.jobs.advise_many import advise_many
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.proposal.proposal import propose
from quiltgeom.render.preview import make_quilt
from tests.conftest import png_array
from tests.documents.browser import CHROMIUM, Browser
from tests.documents.pages import fabrics, proof, write_pictures
from tests.documents.test_proof_page import Elements

BLOCKS = [b for b in load_blocks() if b.family in ("octagon", "one-patch", "unit")]


def gallery(folder: Path) -> Path:
    return write_gallery(BLOCKS, folder)[0]


def kit(folder: Path) -> Path:
    write_pictures(folder)
    cloth = {**fabrics(folder), "accent": Fabric("Deep Water", colour="#224466")}
    design = Design("harbour-windows", rows=1, columns=1, fabrics=cloth)
    made = propose(design, plan=cut_plan(make_quilt(design), cloth, effort=1))
    return write_whole(folder / "kit.html", kit_html(made).encode())


def overview(folder: Path) -> Path:
    prints = folder / "prints"
    prints.mkdir()
    write_pictures(prints)
    (prints / "torn.jpg").write_bytes(b"no picture")
    few = [load_patterns().get("harbour-windows")]
    brief = Brief(Path(), width=12.0, kit=False)
    chosen = [prints / "print.jpg", prints / "torn.jpg"]
    return advise_many(chosen, brief, folder, workers=1, patterns=few).overview


def proof_page(folder: Path) -> Path:
    write_pictures(folder)
    return write_proof_page(proof(folder, ("slipway",)), folder / "page.html")


PAGES: dict[str, Callable[[Path], Path]] = {
    "gallery.py": gallery,
    "kit_html.py": kit,
    "advise_many.py": overview,
    "page.html": proof_page,
}
"""Files that begin an HTML page, and how such a page is made."""


@pytest.fixture(scope="module", params=PAGES.values(), ids=PAGES)
def page(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path: Path = request.param(tmp_path_factory.mktemp("page"))
    return path


def digest(text: str) -> str:
    return "'sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() + "'"


def test_only_what_is_in_the_page_may_run(page: Path) -> None:
    """CSP Level 3: with hashes in the list, ``on...`` and ``style`` attributes are dead too."""
    elements = Elements(page.read_text("utf-8"))
    tags = [t for t, _ in elements.found]
    metas = [i for i, (t, a) in enumerate(elements.found) if t == "meta" and "http-equiv" in a]
    assert len(metas) == 1
    # a policy is not in force before its own element
    assert not {"script", "style"} & set(tags[: metas[0]])
    content = elements.found[metas[0]][1]["content"] or ""
    policy = {rule.split()[0]: rule.split()[1:] for rule in content.split(";")}
    assert (
        policy.pop("default-src")
        == policy.pop("base-uri")
        == policy.pop("form-action")
        == ["'none'"]
    )
    assert policy.pop("img-src") in (["data:"], ["data:", "blob:"])
    kinds = [a.get("type") for t, a in elements.found if t == "script"]
    scripts = [
        text
        for kind, text in zip(kinds, elements.raw["script"], strict=True)
        if kind != "application/json"
    ]
    assert policy.pop("style-src") == [digest(s) for s in elements.raw["style"]]
    assert policy.pop("script-src", []) == [digest(s) for s in scripts]
    assert not policy
    names = {name for _, a in elements.found for name in a}
    assert not [n for n in names if n == "style" or n.startswith("on")]
    assert "javascript:" not in page.read_text("utf-8")


def test_no_page_is_forgotten() -> None:
    sources = [
        p for p in Path(quiltgeom.__file__).parent.rglob("*") if p.suffix in (".py", ".html")
    ]
    begun = {p.name for p in sources if re.search(r"<!doctype html", p.read_text("utf-8"), re.I)}
    assert begun == set(PAGES)


needs_browser = [
    pytest.mark.browser,
    pytest.mark.skipif(not CHROMIUM, reason="needs chromium (apt-get install chromium)"),
]
LOADED = "document.readyState === 'complete'"


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    browser = Browser(tmp_path_factory.mktemp("browser"))
    yield browser
    browser.close()


class TestInABrowser:
    pytestmark = needs_browser

    def test_pages_need_nothing_that_the_policy_forbids(self, browser: Browser, page: Path) -> None:
        browser.open(page, ready=LOADED)
        assert browser.run("getComputedStyle(document.body).fontFamily") != "Times New Roman"
        assert browser.run("[...document.images].every(i => i.complete && i.naturalWidth > 0)")
        assert browser.complaints() == []
        assert browser.requests() == []

    def test_the_policy_is_in_force(self, browser: Browser, page: Path) -> None:
        """Without this the test above could pass because nothing is watched."""
        browser.open(page, ready=LOADED)
        browser.run(
            "document.body.append(Object.assign(new Image(), {src: 'https://example.org/a'}))"
        )
        browser.run(
            "document.body.append(Object.assign(document.createElement('script'), "
            "{textContent: 'window.ran = 1'}))"
        )
        browser.run(
            "document.body.insertAdjacentHTML('beforeend', "
            '\'<img src="data:," onerror="window.ran = 2">\')'
        )
        browser.until(
            lambda: browser.run("1") == 1 and len(browser.complaints()) >= 3, "complaints"
        )
        assert browser.run("window.ran") is None
        assert all("Content Security Policy" in c for c in browser.complaints())

    def test_the_gallery_finds_blocks(self, browser: Browser, tmp_path: Path) -> None:
        browser.open(gallery(tmp_path), ready=LOADED)
        shown = "[...document.querySelectorAll('li')].filter(i => i.checkVisibility()).map("
        names = shown + "i => i.querySelector('h3').textContent)"
        assert set(browser.run(names)) == {b.name for b in BLOCKS}
        wanted = BLOCKS[0]
        browser.run("document.querySelector('#find').focus()")
        browser.send("Input.insertText", text=wanted.key.upper())
        found = browser.run(names)
        assert wanted.name in found
        assert len(found) < len(BLOCKS)
        headings = browser.run(
            "[...document.querySelectorAll('section')].filter(s => s.checkVisibility()).length"
        )
        assert 1 <= headings < len({b.family for b in BLOCKS})
        browser.run("document.querySelector('#find').select()")
        browser.send("Input.insertText", text="no block is called this")
        assert browser.run(names) == []
        assert browser.complaints() == []

    def test_a_plain_cloth_shows_its_colour_in_the_kit(
        self, browser: Browser, tmp_path: Path
    ) -> None:
        browser.open(kit(tmp_path), ready=LOADED)
        pixels = png_array(browser.picture(".roles .plain"))
        middle = pixels[pixels.shape[0] // 2, pixels.shape[1] // 2]
        assert list(middle) == [0x22, 0x44, 0x66]
