"""Prints of pictograms that the project did not draw: their direction is known by how they lie.

    npm pack @iconify-json/fluent-emoji-flat @iconify-json/game-icons
    (unpacked: DIR/fluent/package, DIR/game/package)

Pictograms (MIT, CC BY) are only looked at, here, at run time. They are dealt into eight sets by a
hash of their names; a print takes all of its pictograms from one set, its family, so that what is
left out of a fit is never seen in it. Other pictograms than those of ``icon_tiles``.
"""

from __future__ import annotations

import io
import json
import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from zlib import crc32

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from tests.reading.prints import Print, photo

SIDE_PX, PPI, SETS = 1000, 1000 / 12, 8
LIKE, UNLIKE = 0.93, 0.78  # likeness to the turned self: the same; clearly not
NEARLY = 0.9  # trees, hearts: less than this is seen to be upside down, if one looks
NO_THINGS = ("Flags", "Symbols", "People & Body")
Rng = np.random.Generator


@dataclass(frozen=True, eq=False)
class Icon:
    name: str
    image: Image.Image  # RGBA, square
    flat: bool  # one ink
    half: float
    quarter: float


def _turned(image: Image.Image, quarters: int) -> float:
    """Likeness of a pictogram and its turned self, over small shifts."""
    a = np.asarray(image.resize((48, 48), Image.Resampling.BOX), float) / 255
    a = np.dstack([a[..., :3] * a[..., 3:], 2 * a[..., 3]])
    a = np.pad(a - a.mean(axis=(0, 1)), ((4, 4), (4, 4), (0, 0)))
    b = np.rot90(a, quarters)
    norm = float((a**2).sum())
    return max(
        float((a * np.roll(b, (dy, dx), axis=(0, 1))).sum()) / norm
        for dy in range(-4, 5, 2)
        for dx in range(-4, 5, 2)
    )


def _icon(name: str, image: Image.Image, flat: bool) -> Icon | None:
    box = image.getchannel("A").point(lambda v: 255 * (v > 60)).getbbox()
    if box is None or min(box[2] - box[0], box[3] - box[1]) < 20:
        return None
    cut = image.crop(box)
    side = max(cut.size)
    square = Image.new("RGBA", (side, side))
    square.paste(cut, ((side - cut.width) // 2, (side - cut.height) // 2))
    return Icon(name, square, flat, _turned(square, 2), _turned(square, 1))


@cache
def _drawn(root: Path, kind: str, name: str) -> Icon | None:
    import cairosvg

    bodies, side = _shapes(root, kind)
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}">'
    svg = f"{head}{bodies[name]}</svg>"
    png = cairosvg.svg2png(bytestring=svg.encode(), output_width=200, output_height=200)
    return _icon(name, Image.open(io.BytesIO(png)).convert("RGBA"), kind == "game")


@cache
def _shapes(root: Path, kind: str) -> tuple[dict[str, str], int]:
    """Drawings of one package by name, and the side of their square."""
    package = root / kind / "package"
    data = json.loads((package / "icons.json").read_text("utf-8"))
    groups = json.loads((package / "metadata.json").read_text("utf-8")).get("categories", {})
    never = {n for g in NO_THINGS for n in groups.get(g, ())}
    bodies = {k: v["body"] for k, v in data["icons"].items() if k not in never}
    return bodies, int(data.get("width", data.get("height", 16)))


@cache
def _names(root: Path, kind: str, group: int) -> tuple[str, ...]:
    names = sorted(_shapes(root, kind)[0])
    return tuple(n for n in names if crc32(n.encode()) % SETS == group)


def _some(root: Path, rng: Rng, group: int, n: int, want: str) -> list[Icon]:
    """``n`` different pictograms without (or with) symmetry of their own."""
    kind = "fluent" if rng.random() < 0.5 else "game"
    names, out = _names(root, kind, group), []
    for i in rng.permutation(len(names)):
        icon = _drawn(root, kind, names[i])
        if icon is None:
            continue
        fits = {
            "up": icon.half < UNLIKE and icon.quarter < UNLIKE,
            "half": icon.half > LIKE and icon.quarter < UNLIKE,
            "nearly": UNLIKE <= icon.half < NEARLY and icon.quarter < NEARLY,
            "round": icon.half > LIKE and icon.quarter > LIKE,
        }
        if fits[want]:
            out.append(icon)
            if len(out) == n:
                break
    return out


def _inks(rng: Rng, tone: bool) -> list[np.ndarray]:
    """A ground and three inks that stand out from it (in a tone-on-tone print, barely)."""
    dark = rng.random() < 0.3
    ground = rng.uniform(20, 90, 3) if dark else rng.uniform(165, 252, 3)
    if tone:
        return [ground, *(ground + d * (1 if dark else -1) for d in (18, 26, 34))]
    low, high = (140, 255) if dark else (10, 150)
    return [ground, *(rng.uniform(low, high, 3) for _ in range(3))]


def _dressed(icon: Icon, style: str, ink: np.ndarray) -> Image.Image:
    image = icon.image
    alpha = image.getchannel("A")
    if style == "line":
        grey = Image.composite(image.convert("L"), Image.new("L", image.size, 255), alpha)
        edge = np.asarray(grey.filter(ImageFilter.GaussianBlur(1)).filter(ImageFilter.FIND_EDGES))
        inside = np.pad(6 * edge.astype(int)[2:-2, 2:-2], 2)  # the sheet's own edge is none
        alpha = Image.fromarray(np.minimum(inside, 255).astype(np.uint8))
    elif style == "own" and not icon.flat:
        return image
    elif not icon.flat:  # one ink, light and dark parts told apart
        light = np.asarray(image.convert("L"), float) / 255
        shade = np.asarray(alpha, float) * (1 - 0.75 * light)
        alpha = Image.fromarray(shade.astype(np.uint8))
    flat = Image.new("RGBA", image.size, (*(int(v) for v in np.clip(ink, 0, 255)), 255))
    flat.putalpha(alpha)
    return flat


def _spots(rng: Rng, n: int) -> tuple[list[tuple[float, float]], float, float, float, bool]:
    """Places on a torus (inches), its sides, the distance of neighbours, and whether centred."""
    gap = float(rng.choice([rng.uniform(0.7, 1.2), rng.uniform(1.1, 2.0), rng.uniform(1.8, 3.3)]))
    gap = min(gap, 5.8 / math.sqrt(n))
    stretch = rng.uniform(0.85, 1.2)
    layout = rng.choice(["grid", "drop", "jitter", "scatter"])
    nx = max(1, round(math.sqrt(n) * rng.uniform(0.8, 1.25)))
    ny = max(1, round(n / nx))
    if layout == "drop":
        nx += nx % 2
    w, h = nx * gap, ny * gap * stretch
    if layout == "scatter":
        out: list[tuple[float, float]] = []
        for _ in range(3000):
            p = (rng.uniform(0, w), rng.uniform(0, h))
            if all(
                math.hypot(
                    min(abs(p[0] - q[0]), w - abs(p[0] - q[0])),
                    min(abs(p[1] - q[1]), h - abs(p[1] - q[1])),
                )
                > 0.85 * gap
                for q in out
            ):
                out.append(p)
                if len(out) >= n:
                    break
        return out, w, h, 0.85 * gap, False
    shake = 0.14 * gap if layout == "jitter" else 0.0
    drop = 0.5 if layout == "drop" else 0.0
    spots = [
        (
            (i + 0.5) * gap + rng.normal(0, shake / 2),
            (j + 0.5 + drop * (i % 2)) * gap * stretch + rng.normal(0, shake / 2),
        )
        for i in range(nx)
        for j in range(ny)
    ]
    return spots, w, h, gap * min(1, stretch), layout == "drop"


KINDS = (
    "up",
    "up",
    "up",
    "up",
    "leaning",
    "two-way",
    "two-way",
    "four-way",
    "tossed",
    "tossed",
    "half",
    "round",
)


def icon_print(root: Path, seed: int, *, nearly: bool = False, flat: bool = False) -> Print:
    """One print of pictograms and a photo of it; ``family`` names the set left out together.

    With ``flat`` the print itself.

    With ``nearly`` of pictograms that fit themselves nearly, but not quite, upside down.
    """
    rng = np.random.default_rng([seed, 78 if nearly else 77])
    group, how = seed % SETS, str(KINDS[rng.integers(len(KINDS))])
    most = int(rng.choice([1, 2, 3, 5, 8, 12], p=[0.3, 0.2, 0.15, 0.15, 0.1, 0.1]))
    if nearly and how in ("half", "round"):
        how = "up"
    plain = "nearly" if nearly else "up"
    icons = _some(root, rng, group, most, how if how in ("half", "round") else plain)
    n = max(len(icons), int(rng.choice([1, 2, 4, 6, 9, 14])))
    copies = {"two-way": 2, "four-way": 4, "tossed": 3}.get(how, 1)
    icons = icons[: max(1, 14 // copies)]
    n = max(n, copies * len(icons))
    spots, w, h, gap, centred = _spots(rng, n)
    icons = icons[: max(1, len(spots) // copies)]
    tone, style = rng.random() < 0.12, str(rng.choice(["own", "own", "ink", "line"]))
    inks = _inks(rng, tone)
    tile = _ground(rng, round(w * PPI), round(h * PPI), inks, not tone and rng.random() < 0.2)
    mixed = rng.random() < 0.4
    order = (
        rng.permutation(len(spots))
        if how in ("two-way", "four-way", "tossed") or (rng.random() < 0.5)
        else np.arange(len(spots))
    )
    size = gap * rng.uniform(0.62, 1.08)
    each = rng.uniform(0.55, 1.0, len(icons)) if mixed else np.ones(len(icons))
    for k, s in enumerate(order):
        i = k % len(icons)
        turn = _turn(rng, how, k // len(icons))
        dressed = _dressed(icons[i], "ink" if tone else style, inks[1 + i % 3])
        _paste(tile, dressed, spots[s], size * float(each[i]), turn)
    if rng.random() < 0.25:  # filling between
        for _ in range(int(w * h * 3)):
            _dot(tile, rng, inks[3])
    direction = {"up": "one-way", "leaning": "one-way", "half": "two-way", "two-way": "two-way"}
    rgb = swatch(np.asarray(tile), rng)
    if rng.random() < 0.8 and not flat:
        rgb = photo(rgb, seed, hard=float(rng.uniform(0.3, 1.0)))
    found = Print(rgb, f"icons-{group}", direction.get(how, "free"), [], None, [])
    w, h = tile.size[0] / PPI, tile.size[1] / PPI
    if not centred:
        found.vectors = [(w, 0.0), (0.0, h)]
    return found


def _turn(rng: Rng, how: str, time: int) -> float:
    if how == "leaning":
        return float(np.clip(rng.normal(0, 9), -20, 20))
    if how == "two-way":
        return 180.0 * (time % 2)
    if how == "four-way":
        return 90.0 * (time % 4)
    return float(rng.uniform(0, 360)) if how == "tossed" else 0.0


def _ground(rng: Rng, w: int, h: int, inks: list[np.ndarray], mottled: bool) -> Image.Image:
    plain = np.ones((h, w, 3)) * inks[0]
    if mottled:
        f = np.hypot(np.fft.fftfreq(h)[:, None], np.fft.fftfreq(w)[None]) * PPI
        z = np.fft.ifft2(np.fft.fft2(rng.normal(size=(h, w))) / (0.5 + f) ** 1.5).real
        plain += rng.uniform(4, 14) * (z / z.std())[..., None]
    return Image.fromarray(np.clip(plain, 0, 255).astype(np.uint8))


def _paste(
    tile: Image.Image, icon: Image.Image, at: tuple[float, float], size: float, turn: float
) -> None:
    px = max(6, round(size * PPI))
    small = icon.convert("RGBa").resize((px, px), Image.Resampling.LANCZOS)
    room = Image.new("RGBa", (round(1.45 * px),) * 2)
    room.paste(small, ((room.width - px) // 2,) * 2)
    if turn:
        room = room.rotate(-turn, Image.Resampling.BICUBIC)
    art = room.convert("RGBA")
    w, h = tile.size
    x, y = round(at[0] * PPI) % w - art.width // 2, round(at[1] * PPI) % h - art.height // 2
    for i in range(-2 - art.width // w, 3 + art.width // w):
        for j in range(-2 - art.height // h, 3 + art.height // h):
            px0, py0 = x + i * w, y + j * h
            if -art.width < px0 < w and -art.height < py0 < h:
                tile.paste(art, (px0, py0), art)


def _dot(tile: Image.Image, rng: Rng, ink: np.ndarray) -> None:
    x, y, r = rng.uniform(0, tile.width), rng.uniform(0, tile.height), rng.uniform(1.5, 3.5)
    fill = tuple(int(v) for v in np.clip(ink, 0, 255))
    ImageDraw.Draw(tile).ellipse((x - r, y - r, x + r, y + r), fill=fill)


def swatch(tile: np.ndarray, rng: Rng) -> np.ndarray:
    """A 12-inch swatch at 1000 px, laid with a tile at that resolution."""
    h, w = tile.shape[:2]
    y, x = (np.arange(SIDE_PX) + rng.integers(h)) % h, (np.arange(SIDE_PX) + rng.integers(w)) % w
    return tile[y][:, x]
