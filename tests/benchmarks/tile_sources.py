"""Where the pixels of real tiles come from: one loader for each source of ``tiles.toml``.

Every loader takes (DIR, name, seed) and gives one tile as (h, w, 3) uint8. Packages of one folder
each lie under DIR as ``dpkg -x`` or ``tar xzf`` left them; what a script wrote out lies in a folder
of the source's name. Two-ink sources are printed in two colours drawn from the seed.
"""

from __future__ import annotations

import copy
import io
import re
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree

import numpy as np
from PIL import Image, ImageColor

from tests.benchmarks.icon_tiles import load_icons

SVG = "{http://www.w3.org/2000/svg}"
STOCK_ID = "{http://www.inkscape.org/namespaces/inkscape}stockid"
LONG_PX = 600  # drawings are rendered with their longer side this long


def find(root: Path, *patterns: str) -> Path:
    """The first file under ``root`` that fits one of the patterns."""
    for pattern in patterns:
        for path in sorted(root.rglob(pattern)):
            return path
    raise FileNotFoundError(f"{' or '.join(patterns)} under {root}")


def two_inks(ink: np.ndarray, seed: int) -> np.ndarray:
    """Coverage 0..1 printed dark on a light ground, or at every other seed light on dark."""
    rng = np.random.default_rng(seed)
    ground, dark = rng.uniform(170, 250, 3), rng.uniform(20, 130, 3)
    if seed % 2:
        ground, dark = dark, ground
    mixed = ground * (1 - ink[..., None]) + dark * ink[..., None]
    out: np.ndarray = np.rint(mixed).astype(np.uint8)
    return out


def draw_svg(svg: bytes, long_px: int = LONG_PX) -> Image.Image:
    import cairosvg

    size = Image.open(io.BytesIO(cairosvg.svg2png(bytestring=svg))).size
    png = cairosvg.svg2png(bytestring=svg, scale=long_px / max(size))
    return Image.open(io.BytesIO(png)).convert("RGBA")


def on_white(im: Image.Image) -> np.ndarray:
    sheet = Image.new("RGBA", im.size, "white")
    sheet.alpha_composite(im.convert("RGBA"))
    return np.asarray(sheet.convert("RGB"))


def picture(path: Path) -> np.ndarray:
    return on_white(Image.open(path))


def read_pat(path: Path) -> np.ndarray:
    data = path.read_bytes()
    head, _, w, h, depth = struct.unpack(">5I", data[:20])
    return np.frombuffer(data[head : head + w * h * depth], np.uint8).reshape(h, w, depth)


def load_pat(path: Path) -> np.ndarray:
    pixels = read_pat(path)
    return np.repeat(pixels[..., :1], 3, axis=2) if pixels.shape[2] < 3 else pixels[..., :3]


def load_gimp(root: Path, name: str, seed: int) -> np.ndarray:
    folders = [d for d in sorted(root.glob("gimp-data*")) if any(d.rglob(f"{name}.pat"))]
    return load_pat(find(folders[0] if folders else root, f"{name}.pat"))


def load_hero(root: Path, name: str, seed: int) -> np.ndarray:
    import cairosvg

    rng = np.random.default_rng(seed)
    svg = (root / "hero" / f"{name}.svg").read_bytes()
    im = Image.open(io.BytesIO(cairosvg.svg2png(bytestring=svg, scale=6))).convert("RGBA")
    ink = np.asarray(im)[..., 3:] / 255
    a, b = rng.uniform(170, 250, 3), rng.uniform(20, 130, 3)
    return np.rint(a * (1 - ink) + b * ink).astype(np.uint8)


def cell_of(pattern: ElementTree.Element) -> bytes:
    """The cell of an SVG pattern as a drawing of its own."""
    ElementTree.register_namespace("", SVG[1:-1])
    w, h = pattern.get("width", ""), pattern.get("height", "")
    box = {"width": w, "height": h, "viewBox": f"0 0 {w} {h}"}
    svg = ElementTree.Element(f"{SVG}svg", box)
    svg.extend(copy.deepcopy(list(pattern)))
    for part in svg.iter():  # some drawings leave the namespace out
        if "}" not in part.tag:
            part.tag = SVG + part.tag
    return ElementTree.tostring(svg)


def grey(im: Image.Image) -> np.ndarray:
    return 1 - np.asarray(Image.fromarray(on_white(im)).convert("L")) / 255


def load_clipart(root: Path, name: str, seed: int) -> np.ndarray:
    tree = ElementTree.parse(find(root / "openclipart-svg", f"{name}.svg"))
    pattern = next(e for e in tree.iter() if e.tag in ("pattern", f"{SVG}pattern"))
    return two_inks(grey(draw_svg(cell_of(pattern))), seed)


def load_inkscape(root: Path, name: str, seed: int) -> np.ndarray:
    tree = ElementTree.parse(find(root / "inkscape", "paint/patterns.svg"))
    pattern = next(p for p in tree.iter(f"{SVG}pattern") if p.get(STOCK_ID) == name)
    im = draw_svg(cell_of(pattern))
    return on_white(im) if "bitmap" in name else two_inks(grey(im), seed)


def load_geopattern(root: Path, name: str, seed: int) -> np.ndarray:
    return on_white(draw_svg((root / "geopattern" / f"{name}.svg").read_bytes()))


def load_krita(root: Path, name: str, seed: int) -> np.ndarray:
    """A picture as it is; a few dozen pixels as crisp squares in two inks."""
    path = find(root / "krita-data/usr/share/krita/patterns", f"{name}.pat", f"{name}.png")
    if path.suffix == ".png":
        return picture(path)
    pixels = read_pat(path)
    if min(pixels.shape[:2]) > 99 or pixels.shape[2] < 4:
        return load_pat(path)
    ink = grey(Image.fromarray(pixels, "RGBA"))
    return two_inks(np.kron(ink, np.ones((16, 16))), seed)


def load_jar(root: Path, name: str, seed: int) -> np.ndarray:
    with zipfile.ZipFile(find(root / "sweethome3d", "sweethome3d.jar")) as jar:
        inside = f"com/eteks/sweethome3d/io/resources/textures/{name}.jpg"
        return on_white(Image.open(io.BytesIO(jar.read(inside))))


def load_office(root: Path, name: str, seed: int) -> np.ndarray:
    with zipfile.ZipFile(find(root / "libreoffice-common", "standard.sob")) as box:
        inside = next(n for n in sorted(box.namelist()) if n.startswith(f"Pictures/{name}."))
        return on_white(Image.open(io.BytesIO(box.read(inside))))


def load_bitmap(root: Path, name: str, seed: int) -> np.ndarray:
    """A C header of bits, lowest first, each row in whole bytes."""
    text = find(root / "xbitmaps", f"bitmaps/{name}").read_text("latin-1")
    w, h = (int(re.findall(rf"_{side}\s+(\d+)", text)[0]) for side in ("width", "height"))
    data = np.array([int(x, 16) for x in re.findall(r"0x[0-9a-fA-F]+", text)], np.uint8)
    bits = np.unpackbits(data.reshape(h, -1), axis=1, bitorder="little")[:, :w]
    return two_inks(np.kron(bits, np.ones((8, 8))), seed)


def crisp(ink: np.ndarray, seed: int, long_px: int = 320) -> np.ndarray:
    """Coverage on a few dozen pixels, each as a square of its own, in two inks."""
    by = max(1, long_px // max(ink.shape))
    return two_inks(np.kron(ink, np.ones((by, by))), seed)


def load_magick(root: Path, name: str, seed: int) -> np.ndarray:
    """A pattern of a picture converter, black on white, written out with ``pattern:NAME``."""
    return crisp(grey(Image.open(root / "magick" / f"{name}.png").convert("RGBA")), seed)


def load_map_fill(root: Path, name: str, seed: int) -> np.ndarray:
    """A fill of a map editor: faint black of which only the coverage is taken, at its fullest."""
    path = root / "openstreetmap-id/package/dist/img/pattern" / f"{name}.png"
    cover = np.asarray(Image.open(path).convert("RGBA"))[..., 3].astype(float)
    return crisp((cover - cover.min()) / (cover.max() - cover.min()), seed)


def load_css(root: Path, name: str, seed: int) -> np.ndarray:
    """A drawing inside a style sheet's script, as a data URI."""
    text = (root / "tailwindcss-patterns/package/src/index.js").read_text("utf-8")
    drawings = re.findall(r"'name':\s*'([^']+)',\s*'svg':\s*`url\(\"[^,]*,([^`]*)\"\)`", text)
    svg = unquote(dict(drawings)[name]).replace("currentColor", "black")
    return two_inks(grey(draw_svg(svg.encode())), seed)


def load_pixmap(root: Path, name: str, seed: int) -> np.ndarray:
    """A C source of text: a line for each colour, then a line of their letters for each row."""
    text = find(root / "ctwm/usr/share/ctwm/images", f"{name}.xpm").read_text("latin-1")
    head, *lines = re.findall(r'"([^"]*)"', text)
    w, h, colours, letters = (int(part) for part in head.split()[:4])
    key = {c[:letters]: re.split(r"\bc\s+", c[letters:])[1].split()[0] for c in lines[:colours]}
    wide = re.compile("#(..)..(..)..(..)..")  # four digits each for red, green and blue
    rgb = {k: ImageColor.getrgb(wide.sub(r"#\1\2\3", colour)) for k, colour in key.items()}
    rows = lines[colours : colours + h]
    pixels = [[rgb[r[k * letters : (k + 1) * letters]] for k in range(w)] for r in rows]
    by = max(1, 320 // max(w, h))
    return np.kron(np.array(pixels, np.uint8), np.ones((by, by, 1), np.uint8))


def load_ground(root: Path, name: str, seed: int) -> np.ndarray:
    """What the ground of a game's theme is made of."""
    themes = root / "hedgewars-data/usr/share/games/hedgewars/Data/Themes"
    return picture(themes / name / "LandTex.png")


def from_folder(package: str, folder: str) -> Callable[[Path, str, int], np.ndarray]:
    def load(root: Path, name: str, seed: int) -> np.ndarray:
        base = root / package / folder
        return picture(find(base, *(f"{name}.{end}" for end in ("png", "jpg", "JPG", "gif"))))

    return load


LOADERS: dict[str, Callable[[Path, str, int], np.ndarray]] = {
    "hero": load_hero,
    "pat": load_gimp,
    "krita": load_krita,
    "clipart": load_clipart,
    "inkscape": load_inkscape,
    "geopattern": load_geopattern,
    "jar": load_jar,
    "office": load_office,
    "bitmap": load_bitmap,
    "caja": from_folder("caja-common", "usr/share/caja/patterns"),
    "digikam": from_folder("digikam-data", "usr/share/digikam/data"),
    "propaganda": from_folder("propaganda-debian", "usr/share/wallpapers"),
    "xmahjongg": from_folder("xmahjongg", "usr/share/games/xmahjongg/backgrounds"),
    "magick": load_magick,
    "mapfill": load_map_fill,
    "css": load_css,
    "ctwm": load_pixmap,
    "hedgewars": load_ground,
    "pingus": from_folder("pingus-data", "usr/share/games/pingus/data/images/textures"),
    "oz": from_folder("lbreakout2-data", "usr/share/games/lbreakout2/gfx/Oz"),
    "moiree": from_folder("lbreakout2-data", "usr/share/games/lbreakout2/gfx/Moiree"),
    "tuxpaint": from_folder("tuxpaint-plugins-default", "usr/share/tuxpaint/images/magic"),
    "homedecor": from_folder("minetest-mod-homedecor", "usr/share/games/minetest/mods/homedecor"),
    "xdecor": from_folder("minetest-mod-xdecor", "usr/share/games/minetest/mods/xdecor/textures"),
    "mypaint": from_folder("mypaint-data", "usr/share/mypaint/backgrounds"),
    "xboard": from_folder("xboard", "usr/share/games/xboard/pixmaps/textures"),
    "icons": load_icons,
}
