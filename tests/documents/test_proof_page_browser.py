"""The proof page at work in a real browser: every test also fails on a complaint or a request."""

from __future__ import annotations

import base64
import io
import json
import re
import struct
import xml.etree.ElementTree as ET
import zlib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
import resvg_py
from PIL import Image

from quiltgeom.documents.proof_page import ProofInput, page_script, write_proof_page
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Fabric, Repeat
from quiltgeom.model.quilt import Quilt
from quiltgeom.proposal.proposal import Proposal
from quiltgeom.render.lay import lay_pieces
from quiltgeom.render.mockup import Style, mockup
from quiltgeom.render.png import draw_pixels
from quiltgeom.render.scene import Scene, cover_layer, path_of
from quiltgeom.render.svg import path_data
from tests.conftest import arrow_image, png_array
from tests.documents.browser import CHROMIUM, Browser
from tests.documents.pages import fabrics, proof, write_pictures
from tests.render.test_orientation import measure, whole_arrows

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not CHROMIUM, reason="needs chromium (apt-get install chromium)"),
]
PX = 600


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page")
    write_pictures(path)
    return path


@pytest.fixture(scope="module")
def made(folder: Path) -> ProofInput:
    return proof(folder)


@pytest.fixture(scope="module")
def file(made: ProofInput, folder: Path) -> Path:
    return write_proof_page(made, folder / "page.html")


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    browser = Browser(tmp_path_factory.mktemp("browser"))
    yield browser
    browser.close()


@pytest.fixture
def page(browser: Browser, file: Path) -> Iterator[Browser]:
    """The page, freshly opened; afterwards it must not have complained or asked for anything."""
    browser.open(file)
    yield browser
    assert browser.complaints() == []
    assert browser.requests() == []


def shown(page: Browser, quilt: Quilt, selector: str = "#big-picture") -> np.ndarray:
    """Pixels of a picture of the page, drawn at PX for its longer side."""
    k = PX / max(quilt.width, quilt.height)
    width, height = round(quilt.width * k), round(quilt.height * k)
    page.run(
        f"(() => {{ const s = document.querySelector('{selector}').cloneNode(true);"
        "s.id = 'probe'; const st = s.style; st.position = 'absolute'; st.left = st.top = '0';"
        f"st.width = '{width}px'; st.height = '{height}px'; st.maxWidth = 'none';"
        "st.zIndex = 9; document.body.append(s); })()"
    )
    page.wait("new Promise(r => requestAnimationFrame(() => requestAnimationFrame(() => r(1))))")
    pixels = png_array(page.picture("#probe"))[:height, :width]
    page.run("document.querySelector('#probe').remove()")
    return pixels


def expected(first: Proposal, cloth: dict[str, Fabric], style: Style = "cloth") -> np.ndarray:
    """The picture that the library draws: cloths as they were made as they will be cut, others as
    a preview lays them."""
    quilt = first.quilt
    changed = {r for r in quilt.roles if cloth.get(r) != first.fabrics.get(r)}
    cut, places = first.plan.as_cut() if first.plan else (quilt, None)
    kept = set(quilt.roles) - changed
    both = (
        (cut, mockup(cut, first.fabrics, style=style, places=places), kept),
        (quilt, mockup(quilt, cloth, style=style), changed),
    )
    fills = [
        item
        for whole, drawn, roles in both
        for piece, item in zip(whole, drawn.scene.layers[0].items, strict=True)
        if piece.role in roles
    ]
    layer = cover_layer(fills, quilt.width, quilt.height, "quilt")
    scene = Scene(quilt.width, quilt.height, (layer,))
    return draw_pixels(scene, PX / max(quilt.width, quilt.height))[:, :, 2::-1].astype(float)


def difference(a: np.ndarray, b: np.ndarray) -> float:
    assert a.shape == b.shape
    return float(np.abs(a - b).mean())


def press(page: Browser, label: str) -> None:
    """Click the button of this name."""
    page.run(
        "[...document.querySelectorAll('button')].find(b => "
        f"(b.getAttribute('aria-label') || b.textContent) === {json.dumps(label)}).click()"
    )
    page.settle()


def set_field(page: Browser, selector: str, value: str, event: str = "change") -> None:
    page.run(
        f"(() => {{ const f = document.querySelector({json.dumps(selector)}); f.value = "
        f"{json.dumps(value)}; f.dispatchEvent(new Event('{event}', {{bubbles: true}})); }})()"
    )
    page.settle()


def said(page: Browser) -> str:
    return str(page.run("document.querySelector('#said').textContent"))


# pictures -----------------------------------------------------------------------------------


def test_the_first_pictures_are_the_previews(page: Browser, made: ProofInput) -> None:
    """In colour, and in greys of equal lightness, in every pattern."""
    for number, own in enumerate(made.proposals):
        page.run(f"document.querySelectorAll('.way input')[{number}].click()")
        page.settle()
        picture = shown(page, own.quilt)
        cloth = dict(own.fabrics)
        assert difference(picture, expected(own, cloth)) < 3.0, own.pattern.key
        if number == 0:
            grey = shown(page, own.quilt, "#grey-picture")
            assert np.abs(grey[..., 0] - grey[..., 1]).max() <= 1
            assert difference(grey, expected(own, cloth, "values")) < 3.0
            turned = cloth | {"focus": replace(cloth["focus"], up_deg=90.0)}
            assert difference(picture, expected(own, turned)) > 6  # the check can fail


def test_cloth_lies_where_the_library_lays_it(browser: Browser, file: Path, folder: Path) -> None:
    """Same random numbers, same rules: any fabric, any turn, in patterns of every setting."""
    browser.open(file)
    rules = page_script().split("// Pictures as SVG")[0].split('"use strict";')[1]
    browser.run(f"window.lay = (() => {{ {rules} return {{layPieces, pathPoints}}; }})(); 1")
    base = fabrics(folder)["focus"]
    cases = [
        base,
        replace(base, width=5.0, direction="non-directional"),
        replace(base, up_deg=90.0),
        replace(base, up_deg=-31.0, width=9.5),
        replace(base, repeat=Repeat(2, 1.5, "brick")),
    ]
    for key in ("slipway", "harbour-diamonds", "sail-loft"):
        quilt = lay_out(load_patterns().get(key), rows=2, columns=2)
        pieces = [p for p in quilt if p.role == "background"]
        given = [{"d": path_data(path_of(p.outline), 2), "lie": p.lie_deg} for p in pieces]
        for fabric, fussy in [*((c, False) for c in cases), (replace(base, motif=(3, 2)), True)]:
            ours = lay_pieces(pieces, fabric, seed=7, stream=1, fussy=fussy)
            repeat = fabric.repeat
            cloth = {
                "width": fabric.width,
                "height": fabric.width,
                "direction": fabric.direction,
                "up": fabric.up_deg,
                "motif": fabric.motif,
                "repeat": [repeat.width, repeat.height, repeat.kind] if repeat else None,
            }
            theirs = browser.run(
                f"window.lay.layPieces({json.dumps(given)}.map(p => ({{lie: p.lie, points: "
                f"window.lay.pathPoints(p.d)}})), {json.dumps(cloth)}, "
                f"{{seed: 7, stream: 1, fussy: {json.dumps(fussy)}}})"
            )
            assert theirs["beyond"] == sum(p.beyond for p in ours)
            for place, number in zip(ours, theirs["of"], strict=True):
                kind, *matrix = theirs["places"][number]
                assert kind == place.cloth.kind
                assert matrix == pytest.approx(place.matrix, abs=2e-3), (key, fabric)


def test_another_photo_of_a_real_width(page: Browser, made: ProofInput, folder: Path) -> None:
    """The swapped cloth is drawn as the library would draw it."""
    (folder / "From <b>the market.jpg").write_bytes((folder / "other.jpg").read_bytes())
    page.files("#role-0-focus-file", [folder / "From <b>the market.jpg"])
    page.wait("document.querySelector('#said').textContent.includes('market')")
    assert page.run("document.activeElement.id") == "role-0-focus-width"
    assert page.run("document.querySelectorAll('#cards b, .masthead b').length") == 0
    set_field(page, "#role-0-focus-width", "17,78 cm")
    assert "7″ wide" in said(page)
    first, quilt = made.first, made.first.quilt
    fabric = Fabric("market", image=folder / "other.jpg", width=7.0)
    cloth = {**first.fabrics, "focus": fabric}
    assert difference(shown(page, quilt), expected(first, cloth)) < 3.0
    words = "document.querySelector('main').textContent"
    assert "your change of the main fabric" in page.run(words)
    for what, turn in (("one-way", 90), ("one-way", 33)):
        set_field(page, "#role-0-focus-print", what)
        set_field(page, "#role-0-focus-turn", str(turn), "input")
        changed = {**cloth, "focus": replace(fabric, direction="one-way", up_deg=-float(turn))}
        assert difference(shown(page, quilt), expected(first, changed)) < 3.0, turn
    press(page, "Put it all back as it was")
    assert difference(shown(page, quilt), expected(first, dict(first.fabrics))) < 3.0
    assert "your change of the main fabric" not in page.run(words)


def test_a_dropped_photo_and_swatches(page: Browser, made: ProofInput, folder: Path) -> None:
    data = base64.b64encode((folder / "print.jpg").read_bytes()).decode()
    before = [page.run(f"document.querySelectorAll('.way svg')[{i}].innerHTML") for i in range(3)]
    page.run(
        f"(() => {{ const bytes = Uint8Array.from(atob('{data}'), c => c.charCodeAt(0));"
        "const t = new DataTransfer(); t.items.add(new File([bytes], 'kelp.jpg', "
        "{type: 'image/jpeg'})); const to = document.querySelectorAll('.role')[1];"
        "for (const w of ['dragover', 'drop']) to.dispatchEvent(new DragEvent(w, "
        "{dataTransfer: t, bubbles: true, cancelable: true})); })()"
    )
    page.wait("document.querySelector('#said').textContent.startsWith('Background is now kelp')")
    page.settle()
    after = [page.run(f"document.querySelectorAll('.way svg')[{i}].innerHTML") for i in range(3)]
    assert all(a != b for a, b in zip(after, before, strict=True))
    first, quilt = made.first, made.first.quilt
    kelp = Fabric("kelp", image=folder / "print.jpg", width=8.0)
    cloth = {**first.fabrics, "background": kelp}
    assert difference(shown(page, quilt), expected(first, cloth)) < 3.0
    press(page, "Choose a swatch for accent")
    assert page.run("document.querySelector('dialog').open") is True
    page.run("document.querySelectorAll('#swatch-list button')[1].click()")
    page.settle()
    assert said(page) == "Accent is now Night."
    assert "Choose a swatch for accent" in page.run("document.activeElement.ariaLabel")
    cloth["accent"] = made.swatches[1].fabric
    assert difference(shown(page, quilt), expected(first, cloth)) < 3.0
    assert page.run("document.querySelectorAll('.settings')[2].hidden") is True
    press(page, "Put background back as it was")
    cloth["background"] = first.fabrics["background"]
    assert difference(shown(page, quilt), expected(first, cloth)) < 3.0


def test_a_dropped_print_stands_on_its_feet(page: Browser, made: ProofInput, folder: Path) -> None:
    """Arrows, on so narrow a swatch that every patch reaches beyond it, are read from the picture
    that the page saves; only when somebody says so may they lie any way."""
    arrow_image(240, 3, 15.0).save(folder / "arrows.png")
    page.files("#role-0-focus-file", [folder / "arrows.png"])
    page.wait("document.querySelector('#said').textContent.includes('arrows')")
    assert "kept upright until you say" in said(page)
    shown_way = "document.querySelector('#role-0-focus-print').selectedOptions[0].textContent"
    assert page.run(shown_way) == "not declared: kept upright to be safe"
    set_field(page, "#role-0-focus-width", "2.4 in")

    def angles(number: int) -> list[float]:
        page.run(f"document.querySelectorAll('.way input')[{number}].click()")
        page.settle()
        quilt = made.proposals[number].quilt
        target = page.folder / "saved" / f"{made.proposals[number].pattern.key}.svg"
        target.unlink(missing_ok=True)
        press(page, "Save this picture (SVG)")
        page.until(target.exists, "the file")
        size = (round(quilt.width * 30), round(quilt.height * 30))
        pixels = resvg_py.svg_to_bytes(svg_string=target.read_text("utf-8"), width=size[0], dpi=96)
        with Image.open(io.BytesIO(bytes(pixels))) as drawn:
            grey = np.asarray(drawn.convert("RGB").resize(size))[:, :, 1].astype(float)
        found = [
            measure(a)[0]
            for p in quilt
            if p.role == "focus" and p.lie_deg == 0.0
            for a in whole_arrows(grey, p, 30.0)
        ]
        assert len(found) >= 4, quilt.pattern
        return found

    for number in (0, len(made.proposals) - 1):
        assert max(map(abs, angles(number))) < 4.0, number
    set_field(page, "#role-0-focus-print", "non-directional")
    assert max(map(abs, angles(2))) > 170.0  # the check can fail
    set_field(page, "#role-0-focus-print", "")
    assert max(map(abs, angles(2))) < 4.0


def test_a_swap_rubs_off_on_no_other_role(page: Browser) -> None:
    page.run("window.kept = document.querySelectorAll('.cloth-name')[2].textContent")
    press(page, "Choose a swatch for background")
    page.run("document.querySelectorAll('#swatch-list button')[2].click()")  # the accent's own
    page.settle()
    set_field(page, "#role-1-background-width", "3")
    names = page.run("[...document.querySelectorAll('.cloth-name')].map(n => n.textContent)")
    assert names == ["Gulls", "Slate", "Slate"]
    assert page.run("document.querySelector('#role-2-accent-width').value") == "6 in"


# files --------------------------------------------------------------------------------------


def test_the_saved_picture_is_a_file_of_its_own(
    page: Browser, made: ProofInput, folder: Path
) -> None:
    target = page.folder / "saved" / "slipway.svg"
    own, quilt = made.first, made.first.quilt

    def save() -> str:
        target.unlink(missing_ok=True)
        press(page, "Save this picture (SVG)")
        page.until(target.exists, "the file")
        return target.read_text(encoding="utf-8")

    first = save()
    root = ET.fromstring(first)
    assert root.attrib["width"] == f"{quilt.width:.6g}in"
    assert root.attrib["height"] == f"{quilt.height:.6g}in"
    assert float(root.attrib["viewBox"].split()[2]) == pytest.approx(quilt.width * 1000, abs=1e-3)
    links = re.findall(r'href="([^"]*)"', first)
    assert all(v.startswith(("#", "data:image/")) for v in links)
    ids = re.findall(r' id="([^"]*)"', first)
    assert len(ids) == len(set(ids))
    assert {v[1:] for v in links if v.startswith("#")} <= set(ids)
    assert first.count('shape-rendering="crispEdges"') == 2
    width = round(quilt.width * PX / max(quilt.width, quilt.height))
    drawn = png_array(bytes(resvg_py.svg_to_bytes(svg_string=first, width=width, dpi=96)))
    wanted = expected(own, dict(own.fabrics))
    assert abs(drawn.shape[0] - wanted.shape[0]) <= 1  # the height follows from a rounded width
    rows = min(len(drawn), len(wanted))
    assert difference(drawn[:rows], wanted[:rows]) < 4.0
    page.files("#role-2-accent-file", [folder / "print.jpg"])
    page.wait("document.querySelector('#said').textContent.startsWith('Accent is now')")
    assert save() != first
    assert ET.fromstring(target.read_text(encoding="utf-8")) is not None


def test_no_gap_shows_between_patches(browser: Browser, made: ProofInput, folder: Path) -> None:
    """Three near-blacks on white: any light pixel inside is a gap."""
    colours = {"focus": "#101010", "background": "#121212", "accent": "#141414"}
    dark = {role: Fabric(role, colour=c) for role, c in colours.items()}
    gull = made.proposals[1]
    design = replace(gull.design, fabrics=dark)
    least = ProofInput("Dark", [replace(gull, design=design)])
    browser.open(write_proof_page(least, folder / "dark.html"))
    target = browser.folder / "saved" / "gull-cove.svg"
    target.unlink(missing_ok=True)
    press(browser, "Save this picture (SVG)")
    browser.until(target.exists, "the file")
    saved = target.read_text(encoding="utf-8")

    def lightest(pixels: np.ndarray) -> float:
        return float(pixels[3:-3, 3:-3].max())

    def drawn(text: str) -> np.ndarray:
        return png_array(bytes(resvg_py.svg_to_bytes(svg_string=text, width=PX, dpi=96)))

    assert lightest(shown(browser, gull.quilt)) <= 0x14 + 3
    assert lightest(drawn(saved)) <= 0x14 + 3
    once = re.sub(r'<use[^>]*shape-rendering="crispEdges"[^>]*/>', "", saved)
    assert lightest(drawn(once)) > 40  # the check can fail


def png_head(width: int, height: int) -> bytes:
    """A PNG file whose head claims a size (W3C PNG, 11.2.2), with hardly any data."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        code = zlib.crc32(kind + data)
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", code)

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    data = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + data


def test_files_that_cannot_be_used_are_refused_in_words(page: Browser, folder: Path) -> None:
    jpeg = (folder / "print.jpg").read_bytes()
    evil = b'<svg xmlns="http://www.w3.org/2000/svg"><script>window.ran = 1</script></svg>'
    threads = []  # halving a width of 1 pixel to reach 0.3 of one never ends
    for size in ((1, 30_000), (30_000, 1)):
        out = io.BytesIO()
        Image.new("RGB", size, "#204060").save(out, "PNG")
        threads.append(out.getvalue())
    cases: list[tuple[str, bytes, str]] = [
        ("drawing.svg", evil, "An SVG drawing can carry programs"),
        ("drawing.png", evil, "An SVG drawing can carry programs"),
        ("bomb.png", png_head(100_000, 100_000), "10000 million pixels"),
        ("cut.jpg", jpeg[: len(jpeg) // 2], "damaged or cut short"),
        ("broken.png", png_head(400, 400), "damaged"),
        ("cut.png", (folder / "quiet.png").read_bytes()[:5000], "damaged or cut short"),
        ("notes.jpg", b"these are only some words about cloth" * 3, "not a picture of a kind"),
        ("empty.jpg", b"", "It is empty"),
        ("long.jpg", jpeg + b"\0" * 40_000_000, "up to 40 MB"),
        ("tall.png", threads[0], "100 times as long as wide"),
        ("wide.png", threads[1], "100 times as long as wide"),
    ]
    before = page.run("document.querySelector('#big-picture').innerHTML.length")
    for name, data, words in cases:
        target = folder / ("refused " + name)
        target.write_bytes(data)
        page.run("document.querySelectorAll('.problem').forEach(p => p.textContent = '')")
        page.files("#role-1-background-file", [target])
        page.wait("document.querySelectorAll('.problem')[1].textContent")
        text = page.run("document.querySelectorAll('.problem')[1].textContent")
        assert words in text, name
        assert target.stem in text
    assert page.run("window.ran") is None
    assert page.run("document.querySelector('#big-picture').innerHTML.length") == before


def test_pictures_of_every_accepted_kind_lie_upright(page: Browser, folder: Path) -> None:
    """Turned as their EXIF orientation says (EXIF 2.3, tag 0x0112), transparency on white."""
    base = Image.new("RGB", (60, 40), "#204060")
    base.paste("#f0c020", (0, 0, 60, 10))
    turned = Image.Exif()
    turned[0x0112] = 6  # stored a quarter turn to the left
    base.transpose(Image.Transpose.ROTATE_90).save(folder / "k.jpg", exif=turned, quality=95)
    for kind in ("png", "webp", "gif", "bmp"):
        base.save(folder / f"k.{kind}", **({"lossless": True} if kind == "webp" else {}))
    Image.new("RGBA", (60, 40), (0, 0, 0, 0)).save(folder / "clear.png")
    for name in ("k.jpg", "k.png", "k.webp", "k.gif", "k.bmp", "clear.png"):
        page.files("#role-2-accent-file", [folder / name])
        stem = name.split(".")[0]
        page.wait(f"document.querySelector('#said').textContent.includes('is now {stem}.')")
        page.settle()
        last = "[...document.querySelectorAll('#shared-cloths image')].pop()"
        source = page.run(f"{last}.href.baseVal")
        with Image.open(io.BytesIO(base64.b64decode(source.split(",")[1]))) as image:
            assert image.size == (60, 40), name
            corner = image.convert("RGB").getpixel((5, 3))
        wanted = (255, 255, 255) if stem == "clear" else (0xF0, 0xC0, 0x20)
        assert corner == pytest.approx(wanted, abs=14), name
        press(page, "Put accent back as it was")
        page.run("document.querySelector('#said').textContent = ''")


def test_markup_in_names_does_not_run(browser: Browser, folder: Path) -> None:
    evil = '</script><script>window.ran = 1</script><img src=x onerror="window.ran = 2">'
    cloth = fabrics(folder)
    cloth["focus"] = replace(cloth["focus"], name=evil)
    made = proof(
        folder,
        ("slipway",),
        cloth=cloth,
        title=evil,
        companions={"background": [(evil, "pass", evil)]},
        pair=[(evil, "fail", evil)],
        cautions=[evil],
        notes=[evil],
    )
    browser.open(write_proof_page(made, folder / "evil.html"))
    assert browser.run("document.title") == evil
    assert evil in browser.run("document.querySelector('#big-picture').getAttribute('aria-label')")
    assert browser.run("document.querySelectorAll('main img, main script').length") == 0
    assert browser.run("window.ran") is None
    assert browser.run("document.querySelector('#buy').hidden") is True  # no plan, no table
    assert browser.complaints() == []
    assert browser.requests() == []


def test_the_policy_stops_what_is_not_the_pages_own(browser: Browser, file: Path) -> None:
    """Without this the tests above could pass because nothing is watched."""
    browser.open(file)
    browser.run("document.body.append(Object.assign(new Image(), {src: 'https://example.org/a'}))")
    browser.run(
        "document.body.append(Object.assign(document.createElement('script'), "
        "{textContent: 'window.ran = 1'}))"
    )
    browser.until(lambda: browser.run("1") == 1 and len(browser.complaints()) >= 2, "complaints")
    assert browser.run("window.ran") is None
    assert all("Content Security Policy" in c for c in browser.complaints())


def test_a_page_of_the_least_there_can_be(browser: Browser, made: ProofInput, folder: Path) -> None:
    """One pattern, plain colours, nothing else known: no empty section, nothing to trip over."""
    sky = Fabric("Sky", colour="#88aacc")
    windows = made.proposals[2]
    design = replace(windows.design, fabrics={"focus": sky})
    first = replace(windows, design=design, readings={})
    least = ProofInput("Sky", [first], cautions=[])
    browser.open(write_proof_page(least, folder / "least.html"))
    seen = browser.run(
        "[...document.querySelectorAll('main > section')].filter(s => !s.hidden).map(s => s.id)"
    )
    assert seen == ["quilt", "why", "in-greys"]
    quilt = first.quilt
    assert difference(shown(browser, quilt), expected(first, {"focus": sky})) < 1.0
    browser.files("#role-1-background-file", [folder / "print.jpg"])
    browser.wait("document.querySelector('#said').textContent.startsWith('Background is now')")
    cloth = {"focus": sky, "background": Fabric("p", image=folder / "print.jpg", width=12.0)}
    assert difference(shown(browser, quilt), expected(first, cloth)) < 3.0
    press(browser, "Put background back as it was")
    assert difference(shown(browser, quilt), expected(first, {"focus": sky})) < 1.0
    assert browser.complaints() == []


# people -------------------------------------------------------------------------------------


def test_everything_can_be_done_with_the_keyboard(page: Browser, made: ProofInput) -> None:
    seen = []
    for _ in range(70):
        page.key("Tab")
        name = page.run(
            "(() => { const e = document.activeElement; if (e === document.body) return null;"
            "const s = getComputedStyle(e); const next = e.nextElementSibling;"
            "const o = [e, next, e.parentElement.querySelector('.frame')].some(x => x && "
            "getComputedStyle(x).outlineStyle === 'solid'); return [e.ariaLabel || "
            "(e.labels && e.labels[0] && e.labels[0].textContent) || e.textContent, o]; })()"
        )
        if name is None:
            break
        seen.append(name)
    assert all(label for label, _ in seen)
    assert all(visible for _, visible in seen), [n for n, v in seen if not v]
    names = [label for label, _ in seen]
    for wanted in (
        "To the quilt",
        "in greys",
        "Save this picture (SVG)",
        "Print the page",
        "Choose a swatch for focus",
        "Photo for background",
        "Real width",
        "Turn accent a quarter to the left",
        "Reasons for Gull Cove",
    ):
        assert any(wanted in n for n in names), wanted
    page.run("document.querySelector('.way input').focus()")
    page.key("ArrowRight")
    page.settle()
    assert said(page).startswith("The large picture is now Gull Cove")
    page.run("document.querySelector('#role-1-background-turn').focus()")
    page.key("ArrowRight")
    page.settle()
    assert said(page) == "Background is turned by 1 degrees."
    page.run("document.querySelectorAll('#cards button')[0].focus()")
    page.key("Enter")
    page.key("Tab")
    page.key("Enter")
    page.settle()
    assert said(page) == "Focus is now Fog."
    page.key("Enter")
    page.key("Escape")
    page.wait("!document.querySelector('dialog').open")
    assert page.run("document.activeElement.ariaLabel") == "Choose a swatch for focus"


def test_lengths_are_typed_as_people_type_them(page: Browser) -> None:
    for typed, shown_as in (
        ("12 1/2", "12\u00a01/2 in"),
        ("25.4cm", "10 in"),
        ("½ ft", "6 in"),
        ('9 3/8"', "9\u00a03/8 in"),
        ("7/8 in", "7/8 in"),
    ):
        set_field(page, "#role-0-focus-width", typed)
        assert page.run("document.querySelector('#role-0-focus-width').value") == shown_as
    for typed in ("wide", "0", "-3", "1/0", "999", "", "1e9"):
        set_field(page, "#role-0-focus-width", typed)
        assert page.run("document.querySelector('#role-0-focus-width').ariaInvalid") == "true"
        assert "Not a usable width" in page.run("document.querySelector('.problem').textContent")


def test_words_can_be_read_at_every_width(page: Browser) -> None:
    """WCAG 2.2: contrast of text at least 4.5 to 1 (1.4.3), no sideways scrolling (1.4.10)."""
    faint = """(() => {
      const light = c => { const [r, g, b] = c.match(/[\\d.]+/g).map(v => v / 255).map(
        v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4);
        return .2126 * r + .7152 * g + .0722 * b; };
      const ground = e => { for (; e; e = e.parentElement) { const c = getComputedStyle(e)
        .backgroundColor; if (!/^rgba.* 0\\)$/.test(c)) return c; } return 'rgb(255, 255, 255)'; };
      const bad = [];
      for (const e of document.body.querySelectorAll('*')) {
        if (e.closest('svg, script, noscript') || !e.getClientRects().length) continue;
        if (![...e.childNodes].some(n => n.nodeType === 3 && n.data.trim())) continue;
        const [a, b] = [light(getComputedStyle(e).color), light(ground(e))];
        const ratio = (Math.max(a, b) + .05) / (Math.min(a, b) + .05);
        if (ratio < 4.5) bad.push([e.textContent.slice(0, 40), ratio]);
      }
      return bad;
    })()"""
    press(page, "Choose a swatch for focus")
    assert page.run(faint) == []
    press(page, "Close")
    narrow = """[...document.querySelectorAll('main p, main li, main td, main dd, main h3')].filter(
      e => e.offsetWidth && e.offsetWidth < 100 && e.textContent.length > 30).map(
      e => e.textContent)"""
    for width in (360, 820, 1440, 1600):
        page.size(width, 900)
        assert page.run(narrow) == []
        assert page.run("document.documentElement.scrollWidth") == width
        assert page.run(faint) == []
        assert (
            page.run(
                "[...document.querySelectorAll('button, select, .button')].filter("
                "e => e.offsetHeight && e.offsetHeight < 24).length"  # WCAG 2.5.8
            )
            == 0
        )


def test_it_prints_on_both_papers(page: Browser, made: ProofInput) -> None:
    page.run("document.querySelector('#greys').click()")
    for width, height in ((8.5, 11.0), (8.27, 11.69)):
        paper = pypdfium2.PdfDocument(page.pdf(width, height))
        assert 4 <= len(paper) <= 9
        text = ""
        for sheet in paper:
            assert sheet.get_size() == pytest.approx((width * 72, height * 72), abs=1)
            text += sheet.get_textpage().get_text_range()
        for wanted in ("A quilt for gulls", "Gull Cove", "Cloth to buy", "Rotary cutter"):
            assert wanted in text
        for control in ("Swatches", "Photo …", "Real width", "Print the page"):
            assert control not in text
        first = np.asarray(paper[0].render(scale=0.6).to_pil().convert("RGB"), dtype=float)
        assert (first.max(axis=2) < 220).mean() > 0.15  # the large picture is there
    assert page.run("document.querySelectorAll('.paper').length") == 0
    own = page.pdf(8.5, 11.0)
    page.run("window.print = () => { window.printed = 1; }")
    press(page, "Print the page")
    page.wait("window.printed")
    packed = page.pdf(8.5, 11.0)
    assert len(packed) < 0.6 * len(own)
    pixels = [
        np.asarray(
            pypdfium2.PdfDocument(d)[0].render(scale=0.6).to_pil().convert("RGB"), dtype=float
        )
        for d in (own, packed)
    ]
    assert difference(*pixels) < 1.0


def test_a_viewer_without_scripts_shows_the_quilt(
    browser: Browser, made: ProofInput, file: Path
) -> None:
    browser.open(file)
    browser.send("Emulation.setScriptExecutionDisabled", value=True)
    browser.send("Page.reload")
    browser.wait("document.images.length === 1 && document.images[0].complete")
    facts: dict[str, Any] = browser.run(
        "({ width: document.images[0].naturalWidth, alt: document.images[0].alt, "
        "words: document.querySelector('noscript').innerText })"
    )
    browser.send("Emulation.setScriptExecutionDisabled", value=False)
    assert facts["width"] > 300
    assert "Slipway" in facts["alt"]
    assert made.first.verdicts[0].sentence in facts["words"]
