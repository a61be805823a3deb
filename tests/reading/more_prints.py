"""More synthetic prints: geometric all-overs and natural textures, laid out from one tile."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from tests.reading.prints import FAMILIES, PPI, SIDE, Print, Tile, labelled, palette_of

Rng = np.random.Generator
ONE_WAY_SHAPES = ("tree", "boat", "house", "light", "heron")


def _texture(field: Callable[[Rng, int, int], np.ndarray]) -> Callable[[Rng], Print]:
    """A print from a field of colour indices or mixtures on a torus: nothing in it has an up."""

    def make(rng: Rng) -> Print:
        w, h = (round(rng.uniform(2.4, 4.4) * PPI) for _ in range(2))
        cols = np.array(palette_of(rng, 3), float)
        mix = field(rng, w, h)[..., None]
        tile = cols[0] * (1 - mix) + cols[1] * mix
        n = round(SIDE * PPI)
        y, x = (np.arange(n) + rng.integers(h)) % h, (np.arange(n) + rng.integers(w)) % w
        rgb = np.clip(np.rint(tile[y][:, x]), 0, 255).astype(np.uint8)
        return Print(rgb, "", "non-directional", [(w / PPI, 0.0), (0.0, h / PPI)], None, [])

    return make


def _noise(rng: Rng, w: int, h: int, low: float, high: float) -> np.ndarray:
    """Band-passed noise on a torus: features ``low`` .. ``high`` inches across."""
    f = np.hypot(np.fft.fftfreq(h)[:, None], np.fft.fftfreq(w)[None]) * PPI
    keep = np.exp(
        -(
            (
                (np.log(np.maximum(f, 1e-6)) - math.log(1 / math.sqrt(low * high)))
                / (0.5 * math.log(high / low))
            )
            ** 2
        )
    )
    z = np.fft.ifft2(np.fft.fft2(rng.normal(size=(h, w))) * keep).real
    return (z - z.mean()) / z.std()


def _worms(rng: Rng, w: int, h: int) -> np.ndarray:
    return 1 / (1 + np.exp(-6 * _noise(rng, w, h, 0.35, 0.75)))


def _marble(rng: Rng, w: int, h: int) -> np.ndarray:
    return np.exp(-4 * np.abs(_noise(rng, w, h, 0.4, 1.6)))


def _blobs(rng: Rng, w: int, h: int) -> np.ndarray:
    return 1 / (1 + np.exp(-7 * (_noise(rng, w, h, 0.4, 1.0) - 0.8)))


def _clouds(rng: Rng, w: int, h: int) -> np.ndarray:
    z = _noise(rng, w, h, 0.7, 2.2) + 0.6 * _noise(rng, w, h, 0.25, 0.7)
    return np.clip(0.5 + 0.3 * z, 0, 1)


def _cells(rng: Rng, w: int, h: int) -> np.ndarray:
    """Stones with grout: distance between the two nearest of scattered points, on a torus."""
    points = rng.uniform(size=(rng.integers(9, 22), 2)) * (h, w)
    y, x = np.mgrid[0:h, 0:w]
    far = []
    for py, px in points:
        dy, dx = np.abs(y - py), np.abs(x - px)
        far.append(np.hypot(np.minimum(dy, h - dy), np.minimum(dx, w - dx)))
    near = np.partition(np.stack(far), 1, axis=0)[:2]
    return 1 / (1 + np.exp((near[1] - near[0] - 7) / 1.5))


def _drawn(
    draw: Callable[[Tile, float, list], None],
    direction: str,
    size: Callable[[float], tuple[float, float]],
    vectors: str = "full",
):
    """A geometric all-over: ``draw`` fills a tile ``size(u)`` inches large."""

    def make(rng: Rng) -> Print:
        u = round(rng.uniform(0.6, 1.5), 2)
        cols = palette_of(rng, 4)
        w, h = size(u)
        tile = Tile(w, h, cols[0])
        draw(tile, u, cols)
        w, h = tile.px[0] / tile.k, tile.px[1] / tile.k
        v = {"full": [(w, 0.0), (0.0, h)], "half": [(w / 2, h / 2), (0.0, h)]}[vectors]
        return Print(tile.swatch(rng), "", direction, v, None, [])

    return make


def _polygon(tile: Tile, points: list[tuple[float, float]], colour: tuple) -> None:
    for ox in (-1, 0, 1):
        for oy in (-1, 0, 1):
            at = [(x * tile.k + ox * tile.px[0], y * tile.k + oy * tile.px[1]) for x, y in points]
            tile.draw.polygon(at, fill=colour)


def _chevron(t: Tile, u: float, c: list) -> None:
    _polygon(
        t,
        [(0, 0.5 * u), (0.5 * u, 0), (u, 0.5 * u), (u, 0.9 * u), (0.5 * u, 0.4 * u), (0, 0.9 * u)],
        c[1],
    )


def _triangles(t: Tile, u: float, c: list) -> None:
    _polygon(t, [(0, u), (0.5 * u, 0.12 * u), (u, u)], c[1])


def _half_squares(t: Tile, u: float, c: list) -> None:
    _polygon(t, [(0, 0), (u, 0), (0, u)], c[1])


def _scallops(t: Tile, u: float, c: list) -> None:
    for row in (0.0, 0.5 * u, u, 1.5 * u):
        for i in (-1, 0, 1, 2):
            x = i * 2 * u + (u if round(row / (0.5 * u)) % 2 else 0.0)
            for r, col in ((0.98 * u, c[1]), (0.8 * u, c[0]), (0.5 * u, c[2])):
                arc = [
                    (x + r * math.cos(a), row + 0.5 * u - r * math.sin(a) * 0.5)
                    for a in np.linspace(0, math.pi, 40)
                ]
                _polygon(t, arc, col)


def _bricks(t: Tile, u: float, c: list) -> None:
    m = 0.08 * u
    _polygon(t, [(m, m), (2 * u, m), (2 * u, u), (m, u)], c[1])
    _polygon(t, [(-u + m, u + m), (u, u + m), (u, 2 * u), (-u + m, 2 * u)], c[1])


def _basket(t: Tile, u: float, c: list) -> None:
    for k in range(3):
        a, b = (k + 0.15) * u / 3, (k + 0.85) * u / 3
        for ox, oy in ((0.0, 0.0), (u, u)):
            _polygon(t, [(ox, oy + a), (ox + u, oy + a), (ox + u, oy + b), (ox, oy + b)], c[1])
        for ox, oy in ((u, 0.0), (0.0, u)):
            _polygon(t, [(ox + a, oy), (ox + b, oy), (ox + b, oy + u), (ox + a, oy + u)], c[1])


def _ogee(t: Tile, u: float, c: list) -> None:
    for x, y in ((0.5 * u, 0.75 * u), (0.0, 0.0)):
        for r, col in ((1.0, c[1]), (0.6, c[2])):
            pts = [
                (
                    x + 0.44 * u * r * math.sin(a) * abs(math.sin(a)) ** 0.4,
                    y - 0.7 * u * r * math.cos(a),
                )
                for a in np.linspace(0, 2 * math.pi, 48)
            ]
            _polygon(t, pts, col)


def _rings(t: Tile, u: float, c: list) -> None:
    for r, col in ((0.46, c[1]), (0.36, c[0]), (0.2, c[2])):
        _polygon(
            t,
            [
                (u * (0.5 + r * math.cos(a)), u * (0.5 + r * math.sin(a)))
                for a in np.linspace(0, 2 * math.pi, 48)
            ],
            col,
        )


def _novelty(rng: Rng) -> Print:
    """A few different things, all upright: the sort of print that is cut with care."""
    cols = palette_of(rng, 4)
    u = round(rng.uniform(1.0, 1.5), 2)
    nx, ny = int(rng.integers(2, 4)), int(rng.integers(2, 4))
    tile = Tile(nx * u, ny * u, cols[0])
    for i in range(nx):
        for j in range(ny):
            name = ONE_WAY_SHAPES[rng.integers(len(ONE_WAY_SHAPES))]
            at = ((i + 0.5 + rng.uniform(-0.1, 0.1)) * u, (j + 0.5 + rng.uniform(-0.1, 0.1)) * u)
            tile.shape(
                name,
                at,
                u * rng.uniform(0.6, 0.85),
                rng.normal(0, 4),
                [cols[k] for k in 1 + rng.permutation(3)],
            )
    w, h = tile.px[0] / tile.k, tile.px[1] / tile.k
    return Print(tile.swatch(rng), "", "one-way", [(w, 0.0), (0.0, h)], None, [])


def _square(u: float) -> tuple[float, float]:
    return u, u


MORE: dict[str, Callable[[Rng], Print]] = {
    "worms": _texture(_worms),
    "marble": _texture(_marble),
    "blobs": _texture(_blobs),
    "clouds": _texture(_clouds),
    "cells": _texture(_cells),
    "chevron": _drawn(_chevron, "two-way", lambda u: (u, u)),
    "triangles": _drawn(_triangles, "one-way", _square),
    "half-squares": _drawn(_half_squares, "one-way", _square),
    "scallops": _drawn(_scallops, "one-way", lambda u: (2 * u, u), "half"),
    "bricks": _drawn(_bricks, "two-way", lambda u: (2 * u, 2 * u), "half"),
    "basket": _drawn(_basket, "four-way", lambda u: (2 * u, 2 * u), "half"),
    "ogee": _drawn(_ogee, "two-way", lambda u: (u, 1.5 * u), "half"),
    "rings": _drawn(_rings, "four-way", _square),
    "novelty": _novelty,
}
ALL_FAMILIES = FAMILIES | MORE


def make_any(family: str, seed: int) -> Print:
    """A print of any family; the same seed gives the same print."""
    rng = np.random.default_rng([seed, sum(map(ord, family))])
    return labelled(ALL_FAMILIES[family](rng), family)
