"""Prints of random shapes whose symmetry is known: geometric all-overs, textures, lettering."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from tests.benchmarks.icon_prints import PPI, _inks, swatch
from tests.reading.more_prints import _noise
from tests.reading.prints import Print, photo

Rng = np.random.Generator
Made = tuple[np.ndarray, str]
UNLIKE = 0.8  # a random figure that fits itself better than this has a symmetry by chance
OVER = 2  # drawn so many times larger


def likeness(tile: np.ndarray, quarters: int, mirrored: bool = False) -> float:
    """Largest correlation of a torus with its turned (or left-right mirrored) self."""
    a = tile.astype(float) - tile.mean(axis=(0, 1))
    b = np.rot90(a[:, ::-1] if mirrored else a, quarters)
    if b.shape != a.shape:
        return 0.0
    f = (np.fft.rfft2(a, axes=(0, 1)) * np.conj(np.fft.rfft2(b, axes=(0, 1)))).sum(axis=2)
    return float(np.fft.irfft2(f, a.shape[:2]).max() / (a**2).sum())


def _scrawl(rng: Rng, w: int, h: int, inks: list[np.ndarray]) -> Image.Image:
    """A few random shapes on a torus of ``w`` x ``h`` pixels."""
    image = Image.new("RGB", (w, h), _colour(inks[0]))
    draw = ImageDraw.Draw(image)
    level = rng.random() < 0.5  # everything along the axes, as in mosaics and meanders
    for _ in range(int(rng.integers(1, 8))):
        at = rng.uniform(0, 1, 2) * (w, h)
        reach = min(w, h) * rng.uniform(0.15, 0.6)
        kind = rng.choice(["polygon", "line", "disc", "steps", "arc"])
        if kind == "disc":
            reach *= 0.4
        around = np.sort(rng.uniform(0, 2 * math.pi, rng.integers(3, 6)))
        points = [(reach * math.cos(a), reach * math.sin(a)) for a in around]
        if kind == "steps" or (level and kind == "polygon"):
            x, y = rng.uniform(0.2, 1, 2) * reach
            points = [(0, 0), (x, 0), (x, y * 0.4), (x * 0.4, y * 0.4), (x * 0.4, y), (0, y)]
            if rng.random() < 0.5:
                points = [(0, 0), (x, 0), (x, y), (0, y)]
        wide = max(2, int(reach * rng.uniform(0.06, 0.25)))
        fill = _colour(inks[rng.integers(1, 4)])
        for ox in (-w, 0, w):
            for oy in (-h, 0, h):
                moved = [(float(at[0] + x + ox), float(at[1] + y + oy)) for x, y in points]
                box = (
                    at[0] - reach + ox,
                    at[1] - reach + oy,
                    at[0] + reach + ox,
                    at[1] + reach + oy,
                )
                if kind == "disc":
                    draw.ellipse(box, fill=fill)
                elif kind == "arc":
                    draw.arc(box, math.degrees(around[0]), math.degrees(around[-1]), fill, wide)
                elif kind == "line":
                    draw.line(moved, fill, wide)
                else:
                    draw.polygon(moved, fill)
    return image


def _colour(ink: np.ndarray) -> tuple[int, int, int]:
    r, g, b = (int(v) for v in np.clip(ink, 0, 255))
    return r, g, b


def _group(rng: Rng, inks: list[np.ndarray]) -> Made:
    """A plane pattern of random shapes with the symmetry of one of six groups."""
    group = str(rng.choice(["p1", "p1", "pm", "pg", "p2", "pmm", "cmm", "p4", "p4m"]))
    u = rng.uniform(0.5, 2.4) * PPI * OVER
    w, h = round(u), round(u * rng.uniform(0.6, 1.6))
    if group in ("p4", "p4m"):
        h = w
    a = np.asarray(_scrawl(rng, w, h, inks))
    turned = a[::-1, ::-1]
    if group == "p1":
        tile, kind = a, "one-way"
    elif group == "pm":
        tile, kind = np.hstack([a, a[:, ::-1]]), "one-way"
    elif group == "pg":
        tile, kind = np.vstack([a, a[:, ::-1]]), "one-way"
    elif group == "p2":
        tile, kind = np.hstack([a, turned]), "two-way"
    elif group == "pmm":
        top = np.hstack([a, a[:, ::-1]])
        tile, kind = np.vstack([top, top[::-1]]), "two-way"
    elif group == "cmm":
        top = np.hstack([a, a[:, ::-1]])
        tile = np.vstack([top, top[::-1]])
        tile, kind = np.vstack([tile, np.roll(tile, w, axis=1)]), "two-way"
    else:
        if group == "p4m":
            mask = np.tri(w, dtype=bool)[..., None]
            a = np.where(mask, a, np.swapaxes(a, 0, 1))
        tile = np.vstack([np.hstack([a, np.rot90(a, 3)]), np.hstack([np.rot90(a, 1), turned])])
        kind = "free"
    small = Image.fromarray(np.ascontiguousarray(tile))
    size = tuple(max(12, round(s / OVER)) for s in small.size)
    return np.asarray(small.resize((size[0], size[1]), Image.Resampling.BOX)), kind


def _parts(rng: Rng, inks: list[np.ndarray]) -> Made:
    """Many small pieces: confetti and strokes that lie anyhow (free), or along one way."""
    w, h = (round(rng.uniform(2.5, 6.0) * PPI * OVER) for _ in range(2))
    image = Image.new("RGB", (w, h), _colour(inks[0]))
    draw, along = ImageDraw.Draw(image), rng.random() < 0.35
    size, lean = rng.uniform(0.08, 0.35) * PPI * OVER, rng.choice([0.0, 90.0])
    thin, curved = rng.uniform(0.1, 0.9 if not along else 0.35), rng.random() < 0.4
    for _ in range(int(w * h / size**2 * rng.uniform(0.25, 0.7))):
        at, s = rng.uniform(0, 1, 2) * (w, h), size * rng.uniform(0.7, 1.5)
        a = math.radians(lean + rng.normal(0, 6) if along else rng.uniform(0, 360))
        c, d = math.cos(a), math.sin(a)
        shape = [(-0.5, -thin / 2), (0.5, -thin / 2), (0.5, thin / 2), (-0.5, thin / 2)]
        if curved:
            shape = [(0.5 * math.cos(t), 0.5 * thin * math.sin(t)) for t in np.linspace(0, 6.2, 14)]
        fill = _colour(inks[rng.integers(1, 4)])
        for ox in (-w, 0, w):
            for oy in (-h, 0, h):
                draw.polygon(
                    [
                        (at[0] + ox + s * (c * x - d * y), at[1] + oy + s * (d * x + c * y))
                        for x, y in shape
                    ],
                    fill,
                )
    small = image.resize((w // OVER, h // OVER), Image.Resampling.BOX)
    return np.asarray(small), "two-way" if along else "free"


def _grain(rng: Rng, inks: list[np.ndarray]) -> Made:
    """Cloth and paper: noise, drawn out along no way, one way or two."""
    w, h = (round(rng.uniform(2.5, 5.5) * PPI) for _ in range(2))
    long = int(rng.uniform(3, 12))
    low = rng.uniform(0.06, 0.5)
    z = _noise(rng, w, h, low, low * rng.uniform(1.5, 6))
    kind = str(rng.choice(["plain", "along", "crossed"]))

    def drawn(z: np.ndarray, axis: int) -> np.ndarray:
        n = z.shape[axis]
        f = np.fft.rfft(z, axis=axis)
        k = np.arange(f.shape[axis]) / n * low * PPI * long
        return np.fft.irfft(f * np.exp(-(k**2)).reshape((-1, 1) if axis == 0 else (1, -1)), n, axis)

    if kind == "along":
        z = drawn(z, int(rng.integers(2)))
    elif kind == "crossed":
        z = drawn(z, 0) + drawn(rng.permutation(z.ravel()).reshape(z.shape), 1)
    z = (z - z.mean()) / z.std()
    if rng.random() < 0.5:
        z = np.tanh(3 * (z - rng.uniform(-0.5, 1)))
    elif rng.random() < 0.4:
        z = np.exp(-2 * np.abs(z))
    z = (z - z.min()) / np.ptp(z)
    rgb = inks[0] * (1 - z[..., None]) + inks[1] * z[..., None]
    return np.clip(rgb, 0, 255).astype(np.uint8), "two-way" if kind == "along" else "free"


LETTERS = "abcdefghkmnprstuvwyABCDEFGJKLMPQRTUVWY2345679&?"


def _lettering(rng: Rng, inks: list[np.ndarray]) -> Made:
    """Words in lines, lines up and down in turn, or letters that lie anyhow."""
    how = str(rng.choice(["lines", "lines", "turn", "tossed"]))
    w, h = (round(rng.uniform(2.2, 5.0) * PPI * OVER) for _ in range(2))
    image = Image.new("RGB", (w, h), _colour(inks[0]))
    px = int(rng.uniform(0.25, 0.9) * PPI * OVER)
    rows = max(1, h // int(px * 1.2))
    rows += rows % 2 if how == "turn" else 0
    font = ImageFont.load_default(px)
    for row in range(rows):
        x, word = rng.uniform(0, w / 4), "".join(rng.choice(list(LETTERS), 14))
        for letter in word if how != "turn" else (word[: len(word) // 2] * 2):
            ink = Image.new("L", (2 * px, 2 * px))
            ImageDraw.Draw(ink).text((px, px), letter, 255, font, anchor="mm")
            turn = rng.uniform(0, 360) if how == "tossed" else 180.0 * (how == "turn" and row % 2)
            ink = ink.rotate(turn)
            y = (row + 0.5) * h / rows
            for ox in (-w, 0, w):
                for oy in (-h, 0, h):
                    place = (round(x - px + ox), round(y - px + oy))
                    image.paste(_colour(inks[1 + row % 3]), place, ink)
            x += px * (0.75 if how != "tossed" else 1.0)
            if x > w - px * 0.4:
                break
    small = image.resize((w // OVER, h // OVER), Image.Resampling.BOX)
    kind = {"lines": "one-way", "turn": "two-way", "tossed": "free"}[how]
    return np.asarray(small), kind


MAKERS: dict[str, Callable[[Rng, list[np.ndarray]], Made]] = {
    "group": _group,
    "parts": _parts,
    "grain": _grain,
    "lettering": _lettering,
}


def group_print(maker: str, seed: int) -> Print:
    """One print and a photo of it; a figure with a symmetry by chance is drawn again."""
    rng = np.random.default_rng([seed, sum(map(ord, maker))])
    for _ in range(20):
        inks = _inks(rng, bool(rng.random() < 0.12))
        tile, kind = MAKERS[maker](rng, inks)
        if maker != "group" or _as_said(tile, kind):
            break
    rgb = swatch(tile, rng)
    if rng.random() < 0.8:
        rgb = photo(rgb, seed, hard=float(rng.uniform(0.3, 1.0)))
    return Print(rgb, f"{maker}-{seed % 8}", kind, [], None, [])


def _as_said(tile: np.ndarray, kind: str) -> bool:
    if tile.std() < 4:
        return False
    if kind == "one-way":
        return likeness(tile, 2) < UNLIKE
    return kind == "free" or likeness(tile, 1) < UNLIKE
