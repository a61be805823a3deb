"""Synthetic prints that are no all-overs: border prints, panels in frames, scenes."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image

from tests.reading.more_prints import ALL_FAMILIES, make_any
from tests.reading.prints import ANY, PPI, SIDE, Print, Tile, cloud, palette_of

EDGES = ("top", "right", "bottom", "left")
BARS = ("stripe", "diagonal", "plaid", "gingham", "check", "solid", "scene")
GROUNDS = tuple(f for f in ALL_FAMILIES if f not in BARS)
"""Families that a border runs along the edge of."""
STYLES = ("band", "line", "scallops", "crowd")
_PX = round(SIDE * PPI)


def border_print(edge: str, style: str, family: str, seed: int) -> tuple[Print, float]:
    """An all-over with a border along one edge, and how deep it is in inches.

    Styles: ``band`` (a ground of its own, ruled off), ``line`` (the same ground, ruled off),
    ``scallops`` (a ground of its own with a wavy edge), ``crowd`` (the same ground, not ruled off).
    """
    base = make_any(family, seed)
    rng = np.random.default_rng([seed, sum(map(ord, edge + style + family))])
    turn = EDGES.index(edge)
    field = np.rot90(base.rgb, turn).copy()  # the edge on top
    depth = round(rng.uniform(1.5, 4.5), 2)
    ground = tuple(int(v) for v in np.median(field.reshape(-1, 3), axis=0))
    inks = [c for c in palette_of(rng, 5)[1:] if np.abs(np.subtract(c, ground)).sum() > 90]
    own = inks[0] if style in ("band", "scallops") else ground
    across = round(rng.uniform(1.2, 3.0), 2)
    tile = Tile(across, depth, own)
    _row(tile, rng, style, inks[1:] or [(250, 245, 235)], depth)
    band = np.asarray(tile.image.resize((tile.px[0] // 3, tile.px[1] // 3), Image.Resampling.BOX))
    x = (np.arange(_PX) + rng.integers(band.shape[1])) % band.shape[1]
    y = np.arange(len(band))[:, None]
    keep = np.ones((len(band), _PX), bool)
    if style == "scallops":
        wave = 0.25 * np.abs(np.sin(np.arange(_PX) / PPI * math.pi / across * 2))
        keep = y < (depth - wave) * PPI
    field[: len(band)] = np.where(keep[..., None], band[:, x], field[: len(band)])
    return Print(np.rot90(field, -turn).copy(), family, base.direction), depth


def _row(tile: Tile, rng: np.random.Generator, style: str, inks: list, depth: float) -> None:
    """Motifs in a row along the band, and the lines that rule it off."""
    size = min(0.75 * depth, 0.9 * tile.w)
    name = ANY[rng.integers(len(ANY))]
    if style == "crowd":
        for k in range(12):
            at = (rng.uniform(0, tile.w), rng.uniform(0.2, 0.8) * depth)
            tile.shape(ANY[k % len(ANY)], at, min(size, depth * 0.6), 90.0 * k, inks)
        return
    tile.shape(name, (tile.w / 2, depth * 0.47), size, 0, inks)
    tile.shape("dot", (0, depth * 0.45), size * 0.25, 0, inks[::-1])
    if style == "scallops":
        return
    for at, wide in ((0.0, 0.12), (0.2, 0.05)):
        y1 = (depth - at) * tile.k
        tile.draw.rectangle((0, y1 - wide * tile.k, tile.px[0], y1), fill=inks[-1])


def panel_print(seed: int) -> Print:
    """One picture in a frame: a margin, a frame of plain cloth or of a row of things, a picture."""
    rng = np.random.default_rng([seed, 4711])
    inks = palette_of(rng, 5)
    n = _PX
    margin = rng.uniform(0.0, 1.0)
    wide = rng.uniform(0.4, 1.6)
    tile = Tile(SIDE, SIDE, inks[0])
    inset = margin * tile.k
    if margin > 0.15:
        tile.draw.rectangle((0, 0, *tile.px), fill=(248, 246, 240))
        tile.draw.rectangle((inset, inset, tile.px[0] - inset, tile.px[1] - inset), fill=inks[0])
    if rng.random() < 0.5:  # a row of things all round
        step = (SIDE - 2 * margin) / round((SIDE - 2 * margin) / (1.1 * wide))
        for k in range(round((SIDE - 2 * margin) / step)):
            along, near = margin + (k + 0.5) * step, margin + wide / 2
            for at in ((along, near), (along, SIDE - near), (near, along), (SIDE - near, along)):
                tile.shape("flower", at, 0.7 * wide, 0, inks[1:3])
    rgb = np.asarray(tile.image.resize((n, n), Image.Resampling.BOX)).copy()
    a = round((margin + wide) * PPI)
    picture = _picture(rng, seed, inks)
    inside = Image.fromarray(picture).resize((n - 2 * a, n - 2 * a), Image.Resampling.LANCZOS)
    rgb[a:-a, a:-a] = np.asarray(inside)
    if rng.random() < 0.6:
        w = round(rng.uniform(0.06, 0.2) * PPI)
        line = np.zeros((n, n), bool)
        line[a - w : n - a + w, a - w : n - a + w] = True
        line[a:-a, a:-a] = False
        rgb[line] = inks[3]
    return Print(rgb, "panel", "one-way")


def _picture(rng: np.random.Generator, seed: int, inks: list) -> np.ndarray:
    if rng.random() < 0.5:
        return scene_print(seed).rgb if rng.random() < 0.5 else make_any("scene", seed).rgb
    tile = Tile(SIDE, SIDE, inks[int(rng.integers(2)) * 4])  # one large thing on a ground
    tile.shape(ANY[rng.integers(len(ANY))], (SIDE / 2, SIDE / 2), 0.75 * SIDE, 0, inks[1:4])
    return np.asarray(tile.image.resize((_PX, _PX), Image.Resampling.BOX))


def scene_print(seed: int) -> Print:
    """A garden: beds, a path, trees large in front and small behind, clouds."""
    rng = np.random.default_rng([seed, 815])
    inks = palette_of(rng, 6)
    tile = Tile(SIDE, SIDE, (228, 232, 236))
    k = tile.k
    ground = rng.uniform(0.3, 0.6) * SIDE
    xs = np.linspace(0, SIDE, 80)
    for level in range(3):
        y = ground + level * 1.8 + 0.4 * np.sin(xs * rng.uniform(0.3, 0.9) + rng.uniform(0, 6))
        at = [(x * k, v * k) for x, v in zip(xs, y, strict=True)]
        shade = (120 - 20 * level, 160 - 24 * level, 96 - 12 * level)
        tile.draw.polygon([(0, SIDE * k), *at, (SIDE * k, SIDE * k)], fill=shade)
    names = [*ANY, "flower", "tree"]
    for j in range(int(rng.integers(6, 11))):
        near = j / 10
        at = (rng.uniform(0.5, SIDE - 0.5), ground - 0.6 + near * (SIDE - ground))
        size = (0.7 + 3.2 * near) * rng.uniform(0.8, 1.2)
        order = rng.permutation(5) + 1
        tile.shape(names[rng.integers(len(names))], at, size, 0, [inks[i] for i in order])
    rgb = np.asarray(tile.image.resize((_PX, _PX), Image.Resampling.BOX)).astype(float)
    rgb += cloud(rng, _PX)[..., None] * rng.uniform(2, 8)
    return Print(np.clip(rgb, 0, 255).astype(np.uint8), "scene", "one-way")
