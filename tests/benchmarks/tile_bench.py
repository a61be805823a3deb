"""Real tiles from open packages, put through simulated photos and read. Run by hand.

    apt-get download gimp-data-extras && dpkg -x gimp-data-extras_*.deb DIR
    npm pack hero-patterns   (its tiles written out as DIR/hero/NAME.svg)
    python -m tests.benchmarks.tile_bench DIR [FIRST]

The tiles are not part of this project (GPL and CC BY): they are only looked at here.
Lattices and directions were judged from the tiles by eye and by correlation on the torus.
"""

from __future__ import annotations

import io
import struct
import sys
from collections import Counter
from pathlib import Path

import numpy as np
from PIL import Image

from tests.benchmarks.read_bench import same_but_turned
from tests.reading.prints import photo

# name: (lattice as fractions of the tile, direction); "" = not judged
HALF = ((0.5, 0.5), (0.0, 1.0))
FULL = ((1.0, 0.0), (0.0, 1.0))
ONE, TWO, FREE = "one-way", "two-way", "free"
HERO = {
    "polkaDots": (HALF, FREE), "ticTacToe": (HALF, FREE), "jigsaw": (HALF, FREE),
    "plus": (((0.5, 0.0), (0.0, 0.5)), FREE), "fourPointStars": (FULL, FREE),
    "lisbon": (FULL, FREE), "temple": (FULL, FREE), "zigZag": (FULL, TWO),
    "charlieBrown": (FULL, TWO), "rain": (HALF, TWO), "bamboo": (HALF, TWO),
    "eyes": (HALF, TWO), "brickWall": (HALF, TWO), "moroccan": (HALF, TWO), "lips": (HALF, TWO),
    "hexagons": (FULL, TWO), "kiwi": (FULL, TWO), "groovy": (FULL, TWO), "aztec": (FULL, TWO),
    "wallpaper": (FULL, TWO), "floorTile": (FULL, TWO), "autumn": (FULL, TWO),
    "anchorsAway": (HALF, ONE), "endlessClouds": (HALF, ONE), "fallingTriangles": (HALF, ONE),
    "yyy": (HALF, ONE), "iLikeFood": (FULL, ONE), "skulls": (FULL, ONE),
    "glamorous": (FULL, ONE), "bubbles": (FULL, FREE), "floatingCogs": (FULL, FREE),
    "topography": (FULL, FREE), "circuitBoard": (FULL, FREE), "leaf": (FULL, ""),
}  # fmt: skip
PAT = {
    "brownie": (HALF, TWO), "headache": (HALF, ""), "orangecheese": (FULL, ""),
    "abstract_flowers": (FULL, FREE), "pj": (FULL, FREE), "cow": (FULL, FREE),
    "cashew": (FULL, FREE), "clovers": (FULL, FREE), "leaves3": (FULL, FREE),
    "coins": (FULL, FREE), "money": (FULL, FREE), "purple_glow": (FULL, TWO),
}  # fmt: skip


def load_pat(path: Path) -> np.ndarray:
    data = path.read_bytes()
    head, _, w, h, depth = struct.unpack(">5I", data[:20])
    pixels = np.frombuffer(data[head : head + w * h * depth], np.uint8).reshape(h, w, depth)
    return np.repeat(pixels, 3, axis=2) if depth < 3 else pixels[..., :3]


def load_hero(path: Path, seed: int) -> np.ndarray:
    import cairosvg

    rng = np.random.default_rng(seed)
    svg = path.read_bytes()
    im = Image.open(io.BytesIO(cairosvg.svg2png(bytestring=svg, scale=6))).convert("RGBA")
    ink = np.asarray(im)[..., 3:] / 255
    a, b = rng.uniform(170, 250, 3), rng.uniform(20, 130, 3)
    return np.rint(a * (1 - ink) + b * ink).astype(np.uint8)


def swatch(tile: np.ndarray, width_in: float, seed: int) -> tuple[np.ndarray, float, float]:
    """A 12-inch swatch at 1000 px in which the tile is ``width_in`` wide."""
    w = round(width_in * 1000 / 12)
    h = max(2, round(tile.shape[0] * w / tile.shape[1]))
    small = np.asarray(Image.fromarray(tile).resize((w, h), Image.Resampling.LANCZOS))
    rng = np.random.default_rng(seed)
    y = (np.arange(1000) + rng.integers(h)) % h
    x = (np.arange(1000) + rng.integers(w)) % w
    return small[y][:, x], w * 12 / 1000, h * 12 / 1000


def main() -> None:
    from quiltgeom.fabric.reading.reading import read_array

    root = Path(sys.argv[1])
    pats = {p.stem: p for p in sorted(root.rglob("*.pat"))}
    jobs = [(n, load_hero(root / "hero" / f"{n}.svg", i), *HERO[n]) for i, n in enumerate(HERO)]
    jobs += [(n, load_pat(pats[n]), *PAT[n]) for n in PAT]
    tally: Counter[object] = Counter()
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    for seed, (name, tile, lattice, direction) in enumerate(jobs):
        if seed < first:
            continue
        wide = min(4.2, 4.2 * tile.shape[1] / tile.shape[0]) * (0.6 + 0.4 * (seed % 2))
        rgb, w, h = swatch(tile, wide, seed)
        r = read_array(photo(rgb, seed), 12.0)
        true = [(fx * w, fy * h) for fx, fy in lattice]
        found = [] if r.repeat.kind == "one-axis" else list(r.repeat.vectors_in)
        ok = same_but_turned(found, true, 0.02)
        tally["repeat", "right" if ok else ("wrong" if found else "missed")] += 1
        kind = FREE if r.direction.kind in ("four-way", "non-directional") else r.direction.kind
        if direction:
            tally[direction, kind] += 1
            sure = r.direction.confidence > 0.7
            tally["sure" if sure else "unsure", kind == direction] += 1
        if not ok or (direction and kind != direction):
            print(name, r.repeat.kind, np.round(r.repeat.vectors_in, 2).tolist(), "true",
                  np.round(true, 2).tolist(), "|", r.direction.kind, r.direction.confidence,
                  "true", direction, flush=True)  # fmt: skip
    for key, n in sorted(tally.items(), key=str):
        print(key, n)


if __name__ == "__main__":
    main()
