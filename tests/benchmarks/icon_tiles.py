"""Seamless prints composed from pictograms of open icon packages, as a designer tosses a print.

    npm pack @iconify-json/noto @mdi/svg   (unpacked: DIR/icons/noto/package, DIR/icons/mdi/package)
    npm pack @iconify-json/twemoji @iconify-json/openmoji @fortawesome/fontawesome-free
    (the third collection; unpacked: DIR/icons/{twemoji,openmoji,fa}/package)
    npm pack @iconify-json/emojione @iconify-json/fxemoji @iconify-json/streamline-emojis
        @iconify-json/maki
    (the fourth; unpacked: DIR/icons/{emojione,fxemoji,streamline-emojis,maki}/package)

``icon_tiles.toml`` says which pictograms stand on which print and how: ``up`` (all one way up),
``pairs`` (as many upside down as upright) or ``tossed`` (at any angle). The pictograms are not part
of this project and are read at run time. The same name gives the same tile, whatever else changes.
"""

from __future__ import annotations

import colorsys
import io
import json
import tomllib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any
from zlib import crc32

import numpy as np
from PIL import Image, ImageDraw
from scipy.ndimage import gaussian_filter

ICON_PX = 256
TILE_PX = 640
COLOURED = ("noto", "openmoji", "twemoji", "emojione", "fxemoji", "streamline-emojis")
ONE_FILE = (*COLOURED, "maki")  # all in one JSON file; the first in colours of their own
ONE_INK = {"mdi": "svg", "fa": "svgs/solid"}  # one drawing a file, in this folder


@dataclass(frozen=True)
class Place:
    """A motif's centre and size in pixels of the tile, its turn in degrees, its icon's number."""

    x: float
    y: float
    size: float
    degrees: float
    icon: int


@lru_cache(maxsize=1)
def specs() -> dict[str, dict[str, Any]]:
    data = tomllib.loads(Path(__file__).with_name("icon_tiles.toml").read_text("utf-8"))
    return {p["name"]: p for p in data["print"]}


@lru_cache(maxsize=len(ONE_FILE))
def in_one_file(root: Path, family: str) -> dict[str, Any]:
    text = (root / f"icons/{family}/package/icons.json").read_text("utf-8")
    return dict(json.loads(text))


def draw_icon(root: Path, family: str, name: str, ink: str) -> Image.Image:
    """One pictogram cut to what is drawn, its longer side ``ICON_PX``."""
    import cairosvg

    if family in ONE_FILE:
        icon = in_one_file(root, family)["icons"][name]
        box = icon.get("width", in_one_file(root, family).get("width", 128))
        body = icon["body"] if family in COLOURED else icon["body"].replace("currentColor", ink)
        svg = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        svg += f'viewBox="0 0 {box} {box}" width="{box}" height="{box}">{body}</svg>'
    else:
        svg = (root / f"icons/{family}/package/{ONE_INK[family]}/{name}.svg").read_text("utf-8")
        svg = svg.replace('fill="currentColor" ', "").replace("<path ", f'<path fill="{ink}" ')
    png = cairosvg.svg2png(bytestring=svg.encode(), output_width=400, output_height=400)
    im = Image.open(io.BytesIO(png)).convert("RGBA")
    im = im.crop(im.getchannel("A").point(lambda a: 255 * (a > 20)).getbbox())
    by = ICON_PX / max(im.size)
    size = (max(1, round(im.width * by)), max(1, round(im.height * by)))
    return im.resize(size, Image.Resampling.LANCZOS)


def scatter(count: int, w: int, h: int, drop: bool, rng: np.random.Generator) -> np.ndarray:
    """Loose, even centres on the torus: each as far from the others as the best of many tries."""
    twin = np.array([[0.0, 0.0], [w / 2, h / 2]] if drop else [[0.0, 0.0]])
    side = np.array([w, h], float)
    placed = np.empty((0, 2))
    for _ in range(count):
        tries = rng.uniform(0, 1, (60, 2)) * side
        if len(placed):
            gap = np.abs(tries[:, None] - placed[None])
            gap = np.minimum(gap, side - gap)
            best = tries[np.hypot(gap[..., 0], gap[..., 1]).min(axis=1).argmax()]
        else:
            best = tries[0]
        placed = np.concatenate([placed, (best + twin) % side])
    return placed


def relax(placed: np.ndarray, side: np.ndarray, copies: int, rounds: int = 15) -> np.ndarray:
    """Push neighbours apart a little, twins of a half drop together."""
    for _ in range(rounds):
        gap = placed[:, None] - placed[None]
        gap -= side * np.rint(gap / side)
        far = np.hypot(gap[..., 0], gap[..., 1]) + np.eye(len(placed)) * 1e9
        push = (gap / far[..., None] ** 3).sum(axis=1)
        push = push.reshape(-1, copies, 2).mean(axis=1).repeat(copies, axis=0)
        norm = np.hypot(push[:, 0], push[:, 1])[:, None]
        placed = (placed + push / np.maximum(norm, 1e-12) * side.min() * 0.004) % side
    return placed


def places(spec: dict[str, Any], rng: np.random.Generator, w: int, h: int) -> list[Place]:
    n, drop = len(spec["icons"]), bool(spec.get("drop"))
    copies = 2 if drop else 1
    each = int(spec.get("each", 2))
    side = np.array([w, h], float)
    centres = relax(scatter(n * each, w, h, drop, rng), side, copies)
    pitch = float(np.sqrt(w * h / len(centres)))
    centres = centres + rng.normal(0, 0.06 * pitch, (n * each, 2)).repeat(copies, axis=0)
    order, toss = rng.permutation(n * each), rng.permutation(n * each)
    out = []
    for k, (x, y) in enumerate(centres):
        slot = int(order[k // copies])
        icon, again = slot % n, slot // n
        own = np.random.default_rng([crc32(spec["name"].encode()), slot])
        size = pitch * own.uniform(0.62, 0.92) * float(spec.get("size", 1.0))
        tilt = own.normal(0, float(spec.get("tilt", 4.0)))
        anyhow = 360.0 * (toss[slot] + own.uniform()) / (n * each)  # evenly round the circle
        turn = {"up": 0.0, "pairs": 180.0 * (again % 2), "tossed": anyhow}[spec["lay"]]
        out.append(Place(float(x), float(y), size, turn + tilt, icon))
    return out


def colour(rng: np.random.Generator, light: tuple[float, float], most: float) -> tuple[int, ...]:
    rgb = colorsys.hls_to_rgb(rng.uniform(), rng.uniform(*light), rng.uniform(0.15, most))
    return tuple(round(255 * c) for c in rgb)


def ground(spec: dict[str, Any], rng: np.random.Generator, w: int, h: int) -> Image.Image:
    deep = bool(spec.get("deep"))
    base = np.array(colour(rng, (0.16, 0.3) if deep else (0.8, 0.95), 0.6), float)
    sheet = np.broadcast_to(base, (h, w, 3)).copy()
    kind = spec.get("ground", "plain")
    if kind == "mottled":
        cloud = gaussian_filter(rng.normal(size=(h, w)), 14, mode="wrap")
        if spec.get("drop"):
            cloud += np.roll(cloud, (h // 2, w // 2), (0, 1))
        sheet += 9 * (cloud / cloud.std())[..., None]
    im = Image.fromarray(np.clip(np.rint(sheet), 0, 255).astype(np.uint8)).convert("RGBA")
    pen = ImageDraw.Draw(im)
    other = tuple(int(c) for c in np.clip(base + (28 if deep else -22), 0, 255))
    if kind == "dots":
        rows = 2 * round(h / w * 6)
        step_x, step_y = w / 12, h / rows
        for i in range(12):
            for j in range(rows):
                x, y = (i + 0.5) * step_x, (j + 0.5) * step_y
                pen.ellipse((x - 6, y - 6, x + 6, y + 6), fill=other)
    if kind == "stripes":
        for i in range(0, 16, 2):
            pen.rectangle((i * w // 16, 0, (i + 1) * w // 16 - 1, h), fill=other)
    return im


def paste_round(sheet: Image.Image, motif: Image.Image, x: float, y: float) -> None:
    """Paste about a centre, what hangs over one edge coming in at the other."""
    left, top = round(x - motif.width / 2), round(y - motif.height / 2)
    for dx in (-sheet.width, 0, sheet.width):
        for dy in (-sheet.height, 0, sheet.height):
            layer = Image.new("RGBA", sheet.size)
            if -motif.width < left + dx < sheet.width and -motif.height < top + dy < sheet.height:
                layer.paste(motif, (left + dx, top + dy))
                sheet.alpha_composite(layer)


def load_icons(root: Path, name: str, seed: int) -> np.ndarray:
    """The tile of one print of ``icon_tiles.toml``, (h, w, 3) uint8; ``seed`` changes nothing."""
    spec = specs()[name]
    rng = np.random.default_rng(crc32(name.encode()))
    w, h = TILE_PX, 8 * round(TILE_PX * rng.uniform(0.75, 1.25) / 8)
    sheet = ground(spec, rng, w, h)
    lightness = (0.7, 0.9) if spec.get("deep") else (0.2, 0.45)
    inks = ["rgb({}, {}, {})".format(*colour(rng, lightness, 0.9)) for _ in range(3)]
    icons = [
        draw_icon(root, spec["set"], icon, inks[k % len(inks)])
        for k, icon in enumerate(spec["icons"])
    ]
    for p in places(spec, rng, w, h):
        by = p.size / ICON_PX
        icon = icons[p.icon]
        small = icon.resize(
            (max(1, round(icon.width * by)), max(1, round(icon.height * by))),
            Image.Resampling.LANCZOS,
        )
        paste_round(sheet, small.rotate(p.degrees, Image.Resampling.BICUBIC, expand=True), p.x, p.y)
    return np.asarray(sheet.convert("RGB"))
