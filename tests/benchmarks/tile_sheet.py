"""A sheet of simulated photos of known tiles, for the documentation. Run by hand.

    python -m tests.benchmarks.tile_sheet DIR -o SHEET.jpg [SOURCE/]NAME=CAPTION ...

Shows the tiles of these names, each with its caption. Refuses tiles whose licence does not let this
project show them: of the sources of ``tiles.toml`` those in ``SHOWN`` may be, and prints of the
pictograms in ``SHOWN_SETS``.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

from tests.benchmarks.icon_tiles import specs
from tests.benchmarks.tile_bench import Tile, known_tiles, photographed

SHOWN = {
    "hero": "hero-patterns, CC BY 4.0",
    "clipart": "public domain",
    "geopattern": "MIT",
    "office": "MPL 2.0",
    "bitmap": "MIT",
    "mapfill": "ISC",
    "css": "MIT",
}
SHOWN_SETS = {"noto": "Apache 2.0", "mdi": "Apache 2.0", "fxemoji": "Apache 2.0"}
SIDE, LINE, GAP, COLUMNS = 220, 15, 12, 4


def licence(tile: Tile) -> str | None:
    """By which a tile may be shown; None if it may not."""
    if tile.source == "icons":
        return SHOWN_SETS.get(specs()[tile.name]["set"])
    return SHOWN.get(tile.source)


def sheet(tiles: list[tuple[Tile, str]], root: Path) -> Image.Image:
    """Photos in rows of four, name and caption below each."""
    rows = -(-len(tiles) // COLUMNS)
    page = Image.new(
        "RGB", (COLUMNS * (SIDE + GAP) + GAP, rows * (SIDE + 3 * LINE + GAP) + GAP), "white"
    )
    pen, font = ImageDraw.Draw(page), ImageFont.load_default(12)
    for k, (tile, caption) in enumerate(tiles):
        x = GAP + k % COLUMNS * (SIDE + GAP)
        y = GAP + k // COLUMNS * (SIDE + 3 * LINE + GAP)
        photo = Image.fromarray(photographed(tile, root)[0])
        page.paste(photo.resize((SIDE, SIDE), Image.Resampling.LANCZOS), (x, y))
        words = (tile.name, caption, licence(tile) or "")
        for line, text in enumerate(words):
            pen.text((x, y + SIDE + 2 + line * LINE), text, fill=(40, 40, 40), font=font)
    return page


def main() -> None:
    ap = argparse.ArgumentParser()
    ap.add_argument("root", type=Path)
    ap.add_argument("-o", "--output", type=Path, required=True)
    ap.add_argument("wanted", nargs="+", metavar="NAME=CAPTION")
    args = ap.parse_args()
    known = {t.name: t for t in known_tiles()} | {f"{t.source}/{t.name}": t for t in known_tiles()}
    tiles = []
    for text in args.wanted:
        name, _, caption = text.partition("=")
        if licence(known[name]) is None:
            raise SystemExit(f"{name}: of {known[name].source}, which may not be shown here")
        tiles.append((known[name], caption))
    sheet(tiles, args.root).save(args.output, quality=82)


if __name__ == "__main__":
    main()
