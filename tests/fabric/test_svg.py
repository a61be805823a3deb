"""SVG artwork as a swatch: its pixels and its stated size; whatever is hostile is refused."""

from __future__ import annotations

import base64
import io
import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from quiltgeom.errors import QuiltFileError
from quiltgeom.fabric import svg_artwork as svg_module
from quiltgeom.fabric.cloth import cloth_of
from quiltgeom.fabric.image import image_info, load_image
from quiltgeom.fabric.source import PictureBytes
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.render.png import draw_pixels
from quiltgeom.render.preview import preview

NS = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
SECRET = (255, 0, 255)


def drawing(body: str, size: str = 'width="6in" height="4in" viewBox="0 0 60 40"') -> PictureBytes:
    return PictureBytes("kelp.svg", f"<svg {NS} {size}>{body}</svg>".encode())


SIZES = [
    ('width="6in" height="4in"', (1200, 800), 6.0),
    ('width="152.4mm" height="101.6mm" viewBox="0 0 30 20"', (1200, 800), 6.0),
    ('width="30cm" height="10cm"', (2362, 787), 30 / 2.54),
    ('width="1152pt" height="36pc"', (3200, 1200), 16.0),
    ('width="44in" viewBox="0 0 44 22"', (3600, 1800), 44.0),
    ('width="600" height="400"', (2400, 1600), None),
    ('width="600px" height="400px"', (2400, 1600), None),
    ('viewBox="0 0 20 30"', (1600, 2400), None),
    ('width="100%" height="100%" viewBox="-5,-5,20,20"', (2400, 2400), None),
    ('width="1e9" height="1e9"', (2400, 2400), None),
]


@pytest.mark.parametrize(("size", "pixels", "inches"), SIZES)
def test_the_stated_size_is_the_real_size(
    size: str, pixels: tuple[int, int], inches: float | None
) -> None:
    """CSS Values 4, 6.2: 1in = 2.54cm = 25.4mm = 72pt = 6pc; px are pixels, of no real size."""
    source = drawing('<rect width="100%" height="100%" fill="#204060"/>', size)
    info = image_info(source)
    assert (info.width, info.height, info.format) == (*pixels, "SVG")
    assert (info.ppi and info.width / info.ppi) == (inches and pytest.approx(inches, rel=1e-9))
    image = load_image(source, min_size=(100, 100))
    assert (image.size, image.mode) == (pixels, "RGB")


def test_it_is_drawn_once_and_known_by_its_content(monkeypatch: pytest.MonkeyPatch) -> None:
    starts = []
    run = svg_module.subprocess.run
    monkeypatch.setattr(
        svg_module.subprocess, "run", lambda *a, **k: (starts.append(a), run(*a, **k))[1]
    )
    body = '<circle cx="30" cy="20" r="7" fill="#123457"/>'
    plain = drawing(body)
    commented = PictureBytes(
        "x.png", b"\xef\xbb\xbf<?xml version='1.0'?>\n<!-- " + b"k" * 3000 + b" -->" + plain.data
    )
    for source in (plain, plain, commented):
        assert image_info(source).format == "SVG"
        assert load_image(source).getpixel((600, 400)) == (0x12, 0x34, 0x57)
    assert len(starts) == 2


def test_the_same_picture_as_svg_and_png_gives_the_same_mockup(tmp_path: Path) -> None:
    marks = [(3, 4, 9, 7, (190, 40, 60)), (30, 5, 12, 12, (30, 90, 140)), (9, 22, 30, 9, (0, 0, 0))]
    rects = "".join(
        f'<rect x="{x}" y="{y}" width="{w}" height="{h}" fill="rgb{c}"/>' for x, y, w, h, c in marks
    )
    (tmp_path / "kelp.svg").write_bytes(drawing(rects).data)
    pixels = np.full((800, 1200, 3), 255, dtype=np.uint8)
    for x, y, w, h, c in marks:
        pixels[y * 20 : (y + h) * 20, x * 20 : (x + w) * 20] = c
    Image.fromarray(pixels).save(tmp_path / "kelp.png", dpi=(200, 200))
    assert cloth_of(Fabric("kelp", image=tmp_path / "kelp.svg")).width == 6.0
    drawn = []
    for name in ("kelp.svg", "kelp.png"):
        scene = preview(Design("slipway", {"focus": Fabric("kelp", image=tmp_path / name)})).scene
        drawn.append(draw_pixels(scene, 900 / scene.height)[..., :3].astype(float))
    assert np.abs(drawn[0] - drawn[1]).mean() < 0.5
    assert np.ptp(drawn[0]) > 150


@pytest.fixture
def listener() -> Iterator[tuple[int, list[object]]]:
    """A socket of our own, which nobody may call."""
    calls: list[object] = []
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.1)
        done = threading.Event()

        def wait() -> None:
            while not done.is_set():
                try:
                    calls.append(server.accept())
                except OSError:
                    continue

        thread = threading.Thread(target=wait)
        thread.start()
        yield server.getsockname()[1], calls
        done.set()
        thread.join()


def outside(name: str, target: str) -> str:
    """A drawing that wants to show something that is not in it."""
    image = f'<image xlink:href="{target}" width="60" height="40"/>'
    bodies = {
        "image": image,
        "href": image.replace("xlink:", ""),
        "in a pattern": f'<defs><pattern id="p" width="9" height="9">{image}</pattern></defs>'
        '<rect width="60" height="40" fill="url(#p)"/>',
        "base": image.replace("<image", '<image xml:base="file:///"'),
        "use": f'<use xlink:href="{target}#a"/>',
        "import": f'<style>@import url("{target}");</style>',
        "import text": f'<style>@import "{target}";</style><rect width="9" height="9"/>',
        "fill": f'<rect width="60" height="40" fill="url({target}#a)"/>',
        "filter": f'<rect width="60" height="40" filter="url({target}#a)"/>',
        "mask": f'<rect width="60" height="40" mask="url({target}#a)"/>',
        "gradient": f'<defs><linearGradient id="g" xlink:href="{target}#a"/></defs>'
        '<rect width="60" height="40" fill="url(#g)"/>',
        "tref": f'<text y="20"><tref xlink:href="{target}#a"/></text>',
        "foreign": f'<foreignObject width="60" height="40"><img src="{target}"/></foreignObject>',
        "script": f'<script href="{target}">fetch("{target}")</script>',
        "onload": f"""<rect width="9" height="9" onload="fetch('{target}')"/>""",
        "font": f"<style>@font-face {{ font-family: k; src: url({target}) }}</style>"
        '<text y="20" font-family="k">k</text>',
        "nested": '<image width="60" height="40" xlink:href="data:image/svg+xml;base64,'
        + base64.b64encode(f"<svg {NS}>{image}</svg>".encode()).decode()
        + '"/>',
    }
    return bodies[name]


WAYS = [
    "image",
    "href",
    "in a pattern",
    "base",
    "use",
    "import",
    "import text",
    "fill",
    "filter",
    "mask",
    "gradient",
    "tref",
    "foreign",
    "script",
    "onload",
    "font",
    "nested",
]


def secret_shown(source: PictureBytes | Path) -> bool:
    """Whether the secret colour is in the picture; an error shows nothing."""
    try:
        image = load_image(source)
    except QuiltFileError:
        return False
    pixels = np.asarray(image).astype(int)
    return bool((np.abs(pixels - SECRET).max(axis=-1) < 90).any())


@pytest.mark.parametrize("way", WAYS)
def test_nothing_outside_the_file_is_read(
    way: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, listener: tuple[int, list[object]]
) -> None:
    monkeypatch.chdir(tmp_path)
    Image.new("RGB", (60, 40), SECRET).save(tmp_path / "secret.png")
    shape = f'<g id="a"><rect width="60" height="40" fill="rgb{SECRET}"/></g>'
    (tmp_path / "secret.svg").write_text(f"<svg {NS} viewBox='0 0 60 40'>{shape}</svg>")
    svg_target = way in ("use", "fill", "filter", "mask", "gradient", "tref")
    name = "secret.svg" if svg_target else "secret.png"
    port, calls = listener
    for target in (
        name,
        f"./{name}",
        (tmp_path / name).as_uri(),
        str(tmp_path / name),
        f"http://127.0.0.1:{port}/{name}",
        f"//127.0.0.1:{port}/{name}",
    ):
        path = tmp_path / "art.svg"
        path.write_bytes(drawing(outside(way, target)).data)
        assert not secret_shown(path), target
    assert not calls


def test_this_check_can_fail() -> None:
    """The secret is seen where the drawing itself holds it."""
    out = io.BytesIO()
    Image.new("RGB", (60, 40), SECRET).save(out, "PNG")
    target = "data:image/png;base64," + base64.b64encode(out.getvalue()).decode()
    assert secret_shown(drawing(outside("image", target)))


def entities(value: str, body: str) -> bytes:
    return f'<!DOCTYPE svg [{value}]><svg {NS} viewBox="0 0 60 40">{body}</svg>'.encode()


LAUGHS = '<!ENTITY a0 "kelp">' + "".join(
    f'<!ENTITY a{i} "{f"&a{i - 1};" * 10}">' for i in range(1, 12)
)
USES = (
    '<defs><rect id="u0" width="1" height="1"/>'
    + "".join(f'<g id="u{i}">{f"""<use xlink:href="#u{i - 1}"/>""" * 10}</g>' for i in range(1, 12))
    + '</defs><use xlink:href="#u11"/>'
)
REFUSED = {
    "entity": entities('<!ENTITY k SYSTEM "file:///etc/passwd">', "<text y='9'>&k;</text>"),
    "own entity": entities('<!ENTITY k "kelp">', "<text y='9'>&k;</text>"),
    "parameter entity": entities('<!ENTITY % k SYSTEM "file:///etc/passwd"> %k;', ""),
    "laughs": entities(LAUGHS, "<text y='9'>&a11;</text>"),
    "uses": drawing(USES).data,
    "use of itself": drawing('<g id="u"><use xlink:href="#u"/></g>').data,
    "pattern of itself": drawing(
        '<defs><pattern id="p" width="9" height="9"><rect width="9" '
        'height="9" fill="url(#p)"/></pattern></defs>'
        '<rect width="60" height="40" fill="url(#p)"/>'
    ).data,
    "deep": drawing("<g>" * 100_000 + "</g>" * 100_000).data,
    "no size": drawing("", "").data,
    "zero": drawing("", 'width="0" height="0"').data,
    "nan": drawing("", 'width="nan" height="nan"').data,
    "infinite": drawing("", 'width="inf" height="inf"').data,
    "negative": drawing("", 'width="-6in" height="-4in"').data,
    "ribbon": drawing("", 'width="6000in" height="1in"').data,
    "cut": drawing("<rect/>").data[:-9],
    "page": b"<!doctype html><html><body><svg></svg><br></body></html>",
    "wrong root": b"<kelp><svg xmlns='http://www.w3.org/2000/svg'/></kelp>",
    "embedded script": drawing('<image href="data:application/postscript;base64,JSFQUw=="/>').data,
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_drawing_that_cannot_be_trusted_is_one_clear_error(name: str) -> None:
    with pytest.raises(QuiltFileError) as caught:
        image_info(PictureBytes("kelp.svg", REFUSED[name]))
    said = str(caught.value)
    assert said.startswith("picture kelp.svg: SVG drawing: found ")
    assert "accepted" in said
    assert "\n" not in said


ODD = {
    "dashes": '<path d="M0 0H60" stroke="#000" stroke-dasharray="' + "0.001 " * 200_000 + '"/>',
    "points": '<path d="M0 0' + "L9 9" * 300_000 + '" stroke="#000"/>',
    "numbers": '<rect x="nan" y="inf" width="1e300" height="-5"/>',
    "far away": '<rect width="9" height="9" transform="scale(1e30) translate(1e30)"/>',
    "blur": '<filter id="f"><feGaussianBlur stdDeviation="1e9"/></filter>'
    '<rect width="9" height="9" filter="url(#f)"/>',
    "groups": '<g opacity="0.5">' * 300 + '<rect width="9" height="9"/>' + "</g>" * 300,
    "selectors": "<style>" + "g " * 3000 + "{fill:red}</style><g/>",
    "words": "<text y='9'>" + "kelp " * 5000 + "</text>",
}


@pytest.mark.parametrize("name", ODD)
def test_odd_drawings_are_a_picture_or_one_error(name: str) -> None:
    said = ""
    try:
        assert load_image(drawing(ODD[name])).size == (1200, 800)
    except QuiltFileError as e:
        said = str(e)
    assert said[:37] in ("", "picture kelp.svg: SVG drawing: found ")


def test_photos_inside_a_drawing_are_drawn() -> None:
    for kind in ("PNG", "JPEG", "GIF", "WEBP"):
        out = io.BytesIO()
        Image.new("RGB", (30, 20), (200, 40, 30)).save(out, kind)
        data = base64.b64encode(out.getvalue()).decode()
        body = outside("image", f"data:image/{kind.lower()};base64,{data}")
        red, green, _ = load_image(drawing(body)).getpixel((600, 400))  # type: ignore[misc]
        assert red > 180 > 60 > green
