"""Real tiles from open packages, put through simulated photos and read. Run by hand.

    python -m tests.benchmarks.tile_bench DIR --half tune|held|tune2|held2|held3|held4
        [--cache DIR] [--pictures DIR]

DIR holds each source in a folder of its own. Debian packages, by ``apt-get download NAME`` and
``dpkg -x NAME_*.deb DIR/NAME``: gimp-data, gimp-data-extras (first collection); krita-data,
openclipart-svg, inkscape, libreoffice-common, sweethome3d, caja-common, digikam-data,
propaganda-debian, xbitmaps (second); xmahjongg (third); hedgewars-data, pingus-data,
lbreakout2-data, ctwm, tuxpaint-plugins-default, minetest-mod-homedecor, minetest-mod-xdecor,
mypaint-data, xboard (fourth). From imagemagick ``convert pattern:NAME DIR/magick/NAME.png`` for
each name of source magick. From npm: ``npm pack hero-patterns`` (its tiles written out as
DIR/hero/NAME.svg), ``npm pack tailwindcss-patterns @openstreetmap/id`` (unpacked:
DIR/tailwindcss-patterns/package, DIR/openstreetmap-id/package), ``geopattern_tiles.js`` for
DIR/geopattern and ``icon_tiles.py`` for DIR/icons.

The tiles are not part of this project (their licences stand in ``tiles.toml``): they are only
looked at here. What is true of them stands in ``tiles.toml``; the halves called ``held``,
``held2``, ``held3`` and ``held4`` are not for tuning.
"""

from __future__ import annotations

import argparse
import tomllib
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from zlib import crc32

import numpy as np
from PIL import Image

from tests.benchmarks.read_bench import same_but_turned
from tests.benchmarks.tile_sources import LOADERS
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
    pixels = LOADERS[tile.source](root, tile.name, seed)
    longest = np.random.default_rng(seed).uniform(2.4, 4.4)
    wide = min(longest, longest * pixels.shape[1] / pixels.shape[0])
    rgb, w, h = swatch(pixels, wide, seed)
    vectors = [(fx * w, fy * h) for fx, fy in tile.lattice]
    if len(vectors) == 1 and all(vectors[0]):  # diagonal stripes: the vector across the bars
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
    halves = ["tune", "held", "tune2", "held2", "held3", "held4"]
    ap.add_argument("--half", choices=halves, default="tune")
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
            print(
                tile.name,
                "OK" if ok else "REPEAT",
                r.repeat.kind,
                np.round(r.repeat.vectors_in, 2).tolist(),
                f"{r.repeat.confidence:.2f}",
                "true",
                np.round(true, 2).tolist(),
                "|",
                r.direction.kind,
                r.direction.confidence,
                "true",
                tile.direction,
                "|",
                r.direction.reason,
                flush=True,
            )
            if args.pictures:
                args.pictures.mkdir(parents=True, exist_ok=True)
                Image.fromarray(rgb).save(args.pictures / f"{tile.name}.png")
    for key, n in sorted(tally.items(), key=str):
        print(key, n)


if __name__ == "__main__":
    main()
