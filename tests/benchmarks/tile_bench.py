"""Real tiles from open packages, put through simulated photos and read. Run by hand.

    apt-get download gimp-data gimp-data-extras && dpkg -x gimp-data_*.deb DIR (both)
    npm pack hero-patterns   (its tiles written out as DIR/hero/NAME.svg)
    python -m tests.benchmarks.tile_bench DIR --half tune|held [--cache DIR] [--pictures DIR]

The tiles are not part of this project (GPL and CC BY): they are only looked at here. What is true
of them stands in ``tiles.toml``; the half called ``held`` is not for tuning.
"""

from __future__ import annotations

import argparse
import io
import struct
import tomllib
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from zlib import crc32

import numpy as np
from PIL import Image

from tests.benchmarks.read_bench import same_but_turned
from tests.reading.prints import photo

LATTICES = {"full": ((1.0, 0.0), (0.0, 1.0)), "half": ((0.5, 0.5), (0.0, 1.0))}
FREE = "free"
SIDE_IN, SIDE_PX = 12.0, 1000


@dataclass(frozen=True)
class Tile:
    name: str
    source: str
    lattice: tuple[tuple[float, float], ...]
    direction: str  # "" = not judged
    half: str


def known_tiles() -> list[Tile]:
    data = tomllib.loads(Path(__file__).with_name("tiles.toml").read_text("utf-8"))
    out = []
    for t in data["tile"]:
        lattice = t["lattice"]
        vectors = LATTICES[lattice] if isinstance(lattice, str) else tuple(map(tuple, lattice))
        out.append(Tile(t["name"], t["source"], vectors, t.get("direction", ""), t["half"]))
    return out


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
    """A 12-inch swatch at 1000 px in which the tile is ``width_in`` wide; its size in inches."""
    w = max(2, round(width_in * SIDE_PX / SIDE_IN))
    h = max(2, round(tile.shape[0] * w / tile.shape[1]))
    small = np.asarray(Image.fromarray(tile).resize((w, h), Image.Resampling.LANCZOS))
    rng = np.random.default_rng(seed)
    y = (np.arange(SIDE_PX) + rng.integers(h)) % h
    x = (np.arange(SIDE_PX) + rng.integers(w)) % w
    return small[y][:, x], w * SIDE_IN / SIDE_PX, h * SIDE_IN / SIDE_PX


def photographed(tile: Tile, root: Path, take: int = 0) -> tuple[np.ndarray, list[Any]]:
    """A simulated photo of the tile's print, and its true vectors in inches."""
    seed = crc32(tile.name.encode()) % 100000 + take
    if tile.source == "hero":
        pixels = load_hero(root / "hero" / f"{tile.name}.svg", seed)
    else:
        pixels = load_pat(next(iter(sorted(root.rglob(f"{tile.name}.pat")))))
    longest = np.random.default_rng(seed).uniform(2.4, 4.4)
    wide = min(longest, longest * pixels.shape[1] / pixels.shape[0])
    rgb, w, h = swatch(pixels, wide, seed)
    vectors = [(fx * w, fy * h) for fx, fy in tile.lattice]
    if len(vectors) == 1 and vectors[0][1]:  # stripes: the vector across the bars
        a, b = w * tile.lattice[0][0] * 2, h * tile.lattice[0][1] * 2
        vectors = [(a * b * b / (a * a + b * b), a * a * b / (a * a + b * b))]
    return photo(rgb, seed), vectors


def cached(tile: Tile, root: Path, take: int, folder: Path | None) -> tuple[np.ndarray, list[Any]]:
    if folder is None:
        return photographed(tile, root, take)
    path = folder / f"{tile.source}-{tile.name}-{take}.npz"
    if not path.exists():
        rgb, vectors = photographed(tile, root, take)
        folder.mkdir(parents=True, exist_ok=True)
        np.savez(path, rgb=rgb, vectors=np.array(vectors))
    with np.load(path) as data:
        return data["rgb"], [tuple(v) for v in data["vectors"].tolist()]


def coarse(kind: str) -> str:
    """Three classes: for cutting, four-way and non-directional are both free."""
    return FREE if kind in ("four-way", "non-directional") else kind


def main() -> None:
    from quiltgeom.fabric.reading.reading import read_array

    ap = argparse.ArgumentParser()
    ap.add_argument("root", type=Path)
    ap.add_argument("--half", choices=["tune", "held"], default="tune")
    ap.add_argument("--take", type=int, default=0, help="another photo of the same print")
    ap.add_argument("--only", default="")
    ap.add_argument("--cache", type=Path)
    ap.add_argument("--pictures", type=Path, help="where pictures of the failures go")
    args = ap.parse_args()
    tally: Counter[object] = Counter()
    for tile in (t for t in known_tiles() if t.half == args.half and args.only in t.name):
        rgb, true = cached(tile, args.root, args.take, args.cache)
        r = read_array(rgb, SIDE_IN)
        found = [] if r.repeat.kind == "one-axis" else list(r.repeat.vectors_in)
        ok = same_but_turned(found, true, 0.02)
        tally["repeat", "right" if ok else ("wrong" if found else "missed")] += 1
        sure = "sure" if r.repeat.confidence > 0.7 else "unsure"
        tally["repeat", sure, ok] += 1
        kind = coarse(r.direction.kind)
        if tile.direction:
            tally["direction", tile.direction, kind] += 1
            sure = "sure" if r.direction.confidence > 0.7 else "unsure"
            tally["direction", sure, kind == tile.direction] += 1
        if not ok or (tile.direction and kind != tile.direction):
            print(tile.name, "OK" if ok else "REPEAT", r.repeat.kind,
                  np.round(r.repeat.vectors_in, 2).tolist(), f"{r.repeat.confidence:.2f}",
                  "true", np.round(true, 2).tolist(), "|", r.direction.kind,
                  r.direction.confidence, "true", tile.direction, "|", r.direction.reason,
                  flush=True)  # fmt: skip
            if args.pictures:
                args.pictures.mkdir(parents=True, exist_ok=True)
                Image.fromarray(rgb).save(args.pictures / f"{tile.name}.png")
    for key, n in sorted(tally.items(), key=str):
        print(key, n)


if __name__ == "__main__":
    main()
