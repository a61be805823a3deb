"""Synthetic prints with known repeat, direction, motif size and palette, and simulated photos."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from PIL import Image, ImageDraw

PPI = 100
SIDE = 12.0
Point = tuple[float, float]


@dataclass
class Print:
    rgb: np.ndarray
    family: str
    direction: str
    vectors: list[Point] = field(default_factory=list)  # inches; [] = no repeat inside the swatch
    motif: float | None = None
    palette: list[tuple[int, int, int]] = field(default_factory=list)


def _poly(n: int, r: float = 0.5, start: float = -90) -> list[Point]:
    return [
        (
            r * math.cos(math.radians(start + 360 * i / n)),
            r * math.sin(math.radians(start + 360 * i / n)),
        )
        for i in range(n)
    ]


def _star(n: int, inner: float) -> list[Point]:
    pts = []
    for i in range(2 * n):
        r = 0.5 if i % 2 == 0 else inner
        a = math.radians(-90 + 180 * i / n)
        pts.append((r * math.cos(a), r * math.sin(a)))
    return pts


# shapes in a unit circle, up = -y; a list of (polygon, colour index)
SHAPES: dict[str, list[tuple[list[Point], int]]] = {
    "tree": [
        ([(0, -0.5), (0.3, 0.2), (-0.3, 0.2)], 0),
        ([(-0.07, 0.2), (0.07, 0.2), (0.07, 0.5), (-0.07, 0.5)], 1),
    ],
    "boat": [
        ([(-0.45, 0.2), (0.45, 0.2), (0.28, 0.42), (-0.28, 0.42)], 0),
        ([(0.02, -0.5), (0.35, 0.14), (0.02, 0.14)], 1),
        ([(-0.04, -0.3), (-0.04, 0.14), (-0.3, 0.14)], 1),
    ],
    "house": [
        ([(-0.3, -0.05), (0.3, -0.05), (0.3, 0.45), (-0.3, 0.45)], 0),
        ([(0, -0.45), (0.4, -0.05), (-0.4, -0.05)], 1),
    ],
    "light": [
        ([(-0.12, -0.3), (0.12, -0.3), (0.22, 0.5), (-0.22, 0.5)], 0),
        ([(0, -0.5), (0.16, -0.3), (-0.16, -0.3)], 1),
    ],
    "leaf": [
        (
            [
                (0, -0.5),
                (0.14, -0.25),
                (0.17, 0),
                (0.1, 0.25),
                (0, 0.35),
                (-0.1, 0.25),
                (-0.17, 0),
                (-0.14, -0.25),
            ],
            0,
        ),
        ([(-0.02, 0.3), (0.02, 0.3), (0.03, 0.5), (-0.03, 0.5)], 1),
    ],
    "lemon": [
        ([(0.32 * math.cos(t), 0.42 * math.sin(t)) for t in np.linspace(0, 6.2, 24)], 0),
        ([(0, -0.5), (0.15, -0.36), (0, -0.34)], 1),
    ],
    "heron": [
        (
            [
                (0, -0.5),
                (0.25, -0.42),
                (0.06, -0.4),
                (0.1, -0.1),
                (0.35, 0.1),
                (0.05, 0.15),
                (-0.1, -0.05),
            ],
            0,
        ),
        ([(0.05, 0.15), (0.08, 0.5), (0.03, 0.5), (0.01, 0.15)], 1),
    ],
    "star": [(_star(5, 0.2), 0)],
    "flower": [(_star(6, 0.3), 0), (_poly(10, 0.14), 1)],
    "dot": [(_poly(28, 0.45), 0)],
    "diamond": [([(0, -0.5), (0.28, 0), (0, 0.5), (-0.28, 0)], 0)],
}
ONE_WAY = ("tree", "boat", "house", "light", "heron")
ANY = (*ONE_WAY, "leaf", "lemon")


def palette_of(rng: np.random.Generator, n: int = 4) -> list[tuple[int, int, int]]:
    """A ground and well-separated colours."""
    import colorsys

    ground = [(244, 238, 226), (30, 45, 66), (214, 226, 228), (236, 214, 190)][rng.integers(4)]
    out = [ground]
    base = rng.random()
    dark = sum(ground) < 300
    for i in range(n - 1):
        hue = (base + i / max(1, n - 1) + rng.uniform(-0.05, 0.05)) % 1
        light = rng.uniform(0.55, 0.75) if dark else rng.uniform(0.25, 0.5)
        r, g, b = colorsys.hls_to_rgb(hue, light, rng.uniform(0.35, 0.9))
        out.append((round(255 * r), round(255 * g), round(255 * b)))
    return out


class Tile:
    """A torus to draw on, in inches."""

    def __init__(self, w: float, h: float, ground: tuple[int, int, int]) -> None:
        self.w, self.h, self.k = w, h, PPI * 3
        self.px = (round(w * PPI) * 3, round(h * PPI) * 3)
        self.image = Image.new("RGB", self.px, ground)
        self.draw = ImageDraw.Draw(self.image)

    def shape(self, name: str, at: Point, size: float, turn: float, colours: list) -> None:
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        for polygon, index in SHAPES[name]:
            for ox in (-1, 0, 1):
                for oy in (-1, 0, 1):
                    pts = [
                        (
                            (at[0] + size * (c * x - s * y)) * self.k + ox * self.px[0],
                            (at[1] + size * (s * x + c * y)) * self.k + oy * self.px[1],
                        )
                        for x, y in polygon
                    ]
                    self.draw.polygon(pts, fill=colours[index % len(colours)])

    def swatch(self, rng: np.random.Generator) -> np.ndarray:
        small = np.asarray(
            self.image.resize((self.px[0] // 3, self.px[1] // 3), Image.Resampling.BOX)
        )
        n = round(SIDE * PPI)
        h, w = small.shape[:2]
        y = (np.arange(n) + rng.integers(h)) % h
        x = (np.arange(n) + rng.integers(w)) % w
        return small[y][:, x]


def scatter(
    rng: np.random.Generator, w: float, h: float, gap: float, most: int = 250
) -> list[Point]:
    """Dart throwing on the torus."""
    out: list[Point] = []
    for _ in range(1500):
        p = (rng.uniform(0, w), rng.uniform(0, h))
        if all(
            math.hypot(
                min(abs(p[0] - q[0]), w - abs(p[0] - q[0])),
                min(abs(p[1] - q[1]), h - abs(p[1] - q[1])),
            )
            > gap
            for q in out
        ):
            out.append(p)
            if len(out) >= most:
                break
    return out


def _size(rng: np.random.Generator) -> float:
    return round(float(rng.choice([rng.uniform(0.5, 0.85), rng.uniform(1.25, 2.2)])), 2)


def _grid(
    kind: str,
    names: tuple[str, ...],
    turns: Callable[[int, int], float],
    direction: str,
    alternate: str = "",
):
    def make(rng: np.random.Generator) -> Print:
        size, cols = _size(rng), palette_of(rng)
        name = names[rng.integers(len(names))]
        rx = round(size * rng.uniform(1.15, 1.5), 2)
        ry = round(size * rng.uniform(1.15, 1.5), 2)
        if direction == "four-way":
            ry = 2 * rx if kind == "half" else rx
        nx, ny = (2 if "x" in alternate else 1), (2 if "y" in alternate else 1)
        if kind == "half":
            tile = Tile(2 * rx, ry, cols[0])
            spots = [(0, 0), (1, 0.5)]
            vectors = [(rx, ry / 2), (0, ry)]
        else:
            tile = Tile(nx * rx, ny * ry, cols[0])
            spots = [(i, j) for i in range(nx) for j in range(ny)]
            vectors = [(nx * rx, 0), (0, ny * ry)]
        for i, j in spots:
            tile.shape(name, ((i + 0.5) * rx, (j + 0.5) * ry), size, turns(i, int(j)), cols[1:])
        if alternate == "xy-check":
            vectors = [(rx, ry), (2 * rx, 0)]
        return Print(tile.swatch(rng), "", direction, vectors, size, cols[:3])

    return make


def _scattered(
    names: tuple[str, ...],
    turn: Callable[[np.random.Generator], float],
    direction: str,
    period: tuple[float, float] = (3.5, 5.5),
    kinds: int = 2,
    tone: bool = False,
    small: bool = False,
):
    def make(rng: np.random.Generator) -> Print:
        size = round(rng.uniform(0.35, 0.7), 2) if small else _size(rng)
        cols = palette_of(rng)
        if tone:
            cols = [cols[0]] + [tuple(max(0, v - d) for v in cols[0]) for d in (14, 22, 30)]
        w, h = (round(rng.uniform(*period), 2) for _ in range(2))
        if size > 1.2:
            w, h = w * 1.25, h * 1.25
        w, h = round(w, 2), round(h, 2)
        tile = Tile(w, h, cols[0])
        chosen = [names[i] for i in rng.choice(len(names), kinds, replace=len(names) < kinds)]
        for n, p in enumerate(scatter(rng, w, h, size * 1.05)):
            tile.shape(chosen[n % kinds], p, size, turn(rng), cols[1 + n % 2 :])
        vectors = [(w, 0.0), (0.0, h)] if max(w, h) < 8.5 else []
        return Print(tile.swatch(rng), "", direction, vectors, size, [] if tone else cols)

    return make


def _bars(kind: str):
    def make(rng: np.random.Generator) -> Print:
        cols = palette_of(rng, 4)
        widths = [round(rng.uniform(0.12, 0.6), 2) for _ in range(rng.integers(2, 6))]
        if kind == "gingham":
            widths = [widths[0]] * 2
        order = [i % len(cols) for i in range(len(widths))]
        if kind == "gingham":
            order = [0, 1]
        if len(widths) % 2 and order[-1] == order[0]:
            order[-1] = 2
        period = sum(widths)
        t = (np.arange(3 * 1200) + 0.5) / 300.0 + rng.uniform(0, period)
        index = np.array(order)[
            np.minimum(np.searchsorted(np.cumsum(widths), t % period, "right"), len(widths) - 1)
        ]
        line = np.array(cols, float)[index]
        if kind == "diagonal":
            a = math.radians(45)
            y, x = np.mgrid[0:2400, 0:2400] / 200.0
            d = (x * math.cos(a) + y * math.sin(a)) % period
            idx = np.array(order)[
                np.minimum(np.searchsorted(np.cumsum(widths), d, "right"), len(widths) - 1)
            ]
            rgb = np.array(cols, np.uint8)[idx].reshape(1200, 2, 1200, 2, 3).mean(axis=(1, 3))
            return Print(
                rgb.astype(np.uint8),
                "",
                "stripe",
                [(period * math.cos(a), period * math.sin(a))],
                None,
                [cols[i] for i in sorted(set(order))],
            )
        line = line.reshape(1200, 3, 3).mean(axis=1)
        if kind == "stripe":
            rgb = np.broadcast_to(line[None], (1200, 1200, 3))
            return Print(
                rgb.astype(np.uint8),
                "",
                "stripe",
                [(period, 0.0)],
                None,
                [cols[i] for i in sorted(set(order))],
            )
        rgb = (line[None] + line[:, None]) / 2
        return Print(rgb.astype(np.uint8), "", "plaid", [(period, 0.0), (0.0, period)], None, [])

    return make


def _check(rng: np.random.Generator) -> Print:
    cols = palette_of(rng, 2)
    c = round(rng.uniform(0.3, 1.2), 2)
    y, x = np.mgrid[0:2400, 0:2400] / 200.0
    rgb = np.array(cols, np.uint8)[((x // c + y // c) % 2).astype(int)]
    rgb = rgb.reshape(1200, 2, 1200, 2, 3).mean(axis=(1, 3)).astype(np.uint8)
    return Print(rgb, "", "four-way", [(c, c), (2 * c, 0.0)], c, cols)


def cloud(rng: np.random.Generator, n: int, power: float = 1.6) -> np.ndarray:
    f = np.hypot(np.fft.fftfreq(n)[:, None], np.fft.rfftfreq(n)[None]) * n
    spec = np.fft.rfft2(rng.normal(size=(n, n))) / np.maximum(f, 3) ** power
    z = np.fft.irfft2(spec, (n, n))
    return (z - z.mean()) / z.std()


def _blender(rng: np.random.Generator) -> Print:
    base = np.array(palette_of(rng, 3)[1], float)
    rgb = base + cloud(rng, 1200)[..., None] * rng.uniform(8, 18)
    return Print(np.clip(rgb, 0, 255).astype(np.uint8), "", "non-directional", [], None, [])


def _solid(rng: np.random.Generator) -> Print:
    base = np.array(palette_of(rng, 3)[1], float)
    rgb = base + rng.normal(0, 1.5, (1200, 1200, 1))
    col = [tuple(int(v) for v in base)]
    return Print(np.clip(rgb, 0, 255).astype(np.uint8), "", "non-directional", [], None, col)


def _scene(rng: np.random.Generator) -> Print:
    """A harbour: sky, hills, sea, and things of all sizes; nothing recurs."""
    n, cols = 1200, palette_of(rng, 5)
    tile = Tile(SIDE, SIDE, (190, 215, 235))
    horizon = rng.uniform(0.35, 0.6) * SIDE
    k = tile.k
    for i in range(4):
        base = horizon - 0.9 + 0.5 * i
        pts = (
            [(0.0, SIDE * k)]
            + [
                (x * k, (base + 0.5 * math.sin(x * rng.uniform(0.4, 1.2) + i * 2)) * k)
                for x in np.linspace(0, SIDE, 60)
            ]
            + [(SIDE * k, SIDE * k)]
        )
        shade = 150 - 22 * i
        tile.draw.polygon(pts, fill=(shade - 40, shade + 10, shade))
    for name in ("light", "house", "boat", "tree", "heron", "house", "boat"):
        depth = rng.uniform(0, 1)
        at = (rng.uniform(1, SIDE - 1), horizon + depth * (SIDE - horizon - 1))
        tile.shape(
            name,
            at,
            0.8 + 2.2 * depth * rng.uniform(0.6, 1.2),
            0,
            [cols[i] for i in rng.permutation(4) + 1],
        )
    rgb = np.asarray(tile.image.resize((n, n), Image.Resampling.BOX)).astype(float)
    rgb += cloud(rng, n)[..., None] * 7
    return Print(np.clip(rgb, 0, 255).astype(np.uint8), "", "one-way", [], None, [])


def _near(rng: np.random.Generator) -> Print:
    """Two motifs that look alike alternate: the repeat is twice as wide as it seems."""
    size, cols = round(rng.uniform(0.9, 1.6), 2), palette_of(rng, 4)
    r = round(size * 1.3, 2)
    tile = Tile(2 * r, r, cols[0])
    tile.shape("tree", (0.5 * r, 0.5 * r), size, 0, [cols[1], cols[2]])
    tile.shape("tree", (1.5 * r, 0.5 * r), size, 0, [cols[1], cols[3]])
    return Print(tile.swatch(rng), "", "one-way", [(2 * r, 0.0), (0.0, r)], size, [])


def any_turn(rng: np.random.Generator) -> float:
    return float(rng.uniform(0, 360))


FAMILIES: dict[str, Callable[[np.random.Generator], Print]] = {
    "dots-straight": _grid("straight", ("dot",), lambda i, j: 0, "four-way"),
    "dots-half-drop": _grid("half", ("dot",), lambda i, j: 0, "four-way"),
    "one-way-straight": _grid("straight", ONE_WAY, lambda i, j: 0, "one-way"),
    "one-way-half-drop": _grid("half", ONE_WAY, lambda i, j: 0, "one-way"),
    "up-down-columns": _grid("straight", ANY, lambda i, j: 180 * i, "two-way", "x"),
    "up-down-rows": _grid("straight", ANY, lambda i, j: 180 * j, "two-way", "y"),
    "up-down-check": _grid("straight", ANY, lambda i, j: 180 * (i + j), "two-way", "xy-check"),
    "diamonds": _grid("half", ("diamond",), lambda i, j: 0, "two-way"),
    "four-turns": _grid(
        "straight", ANY, lambda i, j: [[0, 90], [270, 180]][i][j], "four-way", "xy"
    ),
    "one-way-scattered": _scattered(ONE_WAY, lambda r: float(r.normal(0, 6)), "one-way"),
    "one-way-small": _scattered(ONE_WAY, lambda r: 0.0, "one-way", (2.5, 4), small=True),
    "two-way-scattered": _scattered(
        ANY, lambda r: 180.0 * float(r.integers(2)), "two-way", kinds=1
    ),
    "four-way-scattered": _scattered(
        ANY, lambda r: 90.0 * float(r.integers(4)), "four-way", kinds=1
    ),
    "tossed": _scattered(ANY, any_turn, "non-directional"),
    "tossed-small": _scattered(ANY, any_turn, "non-directional", (2.5, 4), small=True),
    "tossed-flowers": _scattered(("flower", "star", "leaf"), any_turn, "non-directional"),
    "tone-on-tone": _scattered(ANY, any_turn, "non-directional", (2.5, 4), tone=True, small=True),
    "tone-one-way": _scattered(ONE_WAY, lambda r: 0.0, "one-way", (2.5, 4), tone=True, small=True),
    "long-repeat": _scattered(ANY, any_turn, "non-directional", (15, 18)),
    "stripe": _bars("stripe"),
    "diagonal": _bars("diagonal"),
    "plaid": _bars("plaid"),
    "gingham": _bars("gingham"),
    "check": _check,
    "blender": _blender,
    "solid": _solid,
    "scene": _scene,
    "near-repeat": _near,
}


def make(family: str, seed: int) -> Print:
    rng = np.random.default_rng([seed, sum(map(ord, family))])
    return labelled(FAMILIES[family](rng), family)


def labelled(p: Print, family: str) -> Print:
    """The print with its family, and in its palette only inks that were really drawn with."""
    p.family = family
    area = [float((p.rgb == np.array(c)).all(axis=2).mean()) for c in p.palette]
    if family != "solid":
        p.palette = [c for c, a in zip(p.palette, area, strict=True) if a >= 0.006]
    return p


def photo(rgb: np.ndarray, seed: int, *, hard: float = 1.0) -> np.ndarray:
    """A photo on a table: turned, in perspective, wrinkled, unevenly lit, blurred, noisy, JPEG."""
    from scipy.ndimage import gaussian_filter, map_coordinates

    rng = np.random.default_rng(seed)
    h, w = rgb.shape[:2]
    y, x = np.mgrid[0:h, 0:w].astype(float)
    u, v = x / w - 0.5, y / h - 0.5
    a = math.radians(rng.uniform(-1.5, 1.5) * hard)
    px, py = rng.uniform(-0.02, 0.02, 2) * hard
    z = 1 + px * u + py * v
    uu, vv = (u * math.cos(a) - v * math.sin(a)) / z, (u * math.sin(a) + v * math.cos(a)) / z
    wave = [gaussian_filter(rng.normal(size=(h // 8, w // 8)), 9) for _ in range(2)]
    wave = [
        np.asarray(
            Image.fromarray((q / q.std() * 1.6 * hard).astype(np.float32)).resize(
                (w, h), Image.Resampling.BICUBIC
            )
        )
        for q in wave
    ]
    sx, sy = (uu + 0.5) * w + wave[0], (vv + 0.5) * h + wave[1]
    warped = np.stack(
        [
            map_coordinates(rgb[..., c].astype(np.float32), [sy, sx], order=1, mode="reflect")
            for c in range(3)
        ],
        axis=-1,
    )
    light = (
        1
        + hard * (rng.uniform(-0.18, 0.18) * u * 2 + rng.uniform(-0.18, 0.18) * v * 2)
        - 0.1 * hard * (u * u + v * v) * 2
    )
    out = gaussian_filter(warped * light[..., None], (0.8, 0.8, 0))
    out = np.clip(out + rng.normal(0, 5 * hard, out.shape), 0, 255).astype(np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(out).save(buffer, "JPEG", quality=int(rng.integers(70, 90)))
    return np.asarray(Image.open(buffer).convert("RGB"))
