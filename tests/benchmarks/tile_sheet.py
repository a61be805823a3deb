"""A sheet of simulated photos of known tiles, for the documentation. Run by hand.

    python -m tests.benchmarks.tile_sheet DIR -o SHEET.jpg NAME=CAPTION ...

Shows the tiles of these names, each with its caption. Refuses tiles whose licence does not let this
project show them: of the sources of ``tiles.toml`` those in ``SHOWN`` may be.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

from tests.benchmarks.tile_bench import Tile, known_tiles, photographed

SHOWN = {
    "hero": "hero-patterns, CC BY 4.0", "icons": "Apache 2.0", "clipart": "public domain",
    "geopattern": "MIT", "office": "MPL 2.0", "bitmap": "MIT",
}  # fmt: skip
SIDE, LINE, GAP, COLUMNS = 220, 15, 12, 4


def sheet(tiles: list[tuple[Tile, str]], root: Path) -> Image.Image:
    """Photos in rows of four, name and caption below each."""
    rows = -(-len(tiles) // COLUMNS)
    page = Image.new("RGB", (COLUMNS * (SIDE + GAP) + GAP,
                             rows * (SIDE + 3 * LINE + GAP) + GAP), "white")  # fmt: skip
    pen, font = ImageDraw.Draw(page), ImageFont.load_default(12)
    for k, (tile, caption) in enumerate(tiles):
        x = GAP + k % COLUMNS * (SIDE + GAP)
        y = GAP + k // COLUMNS * (SIDE + 3 * LINE + GAP)
        photo = Image.fromarray(photographed(tile, root)[0])
        page.paste(photo.resize((SIDE, SIDE), Image.Resampling.LANCZOS), (x, y))
        words = (tile.name, caption, SHOWN[tile.source])
        for line, text in enumerate(words):
            pen.text((x, y + SIDE + 2 + line * LINE), text, fill=(40, 40, 40), font=font)
    return page


def main() -> None:
    ap = argparse.ArgumentParser()
    ap.add_argument("root", type=Path)
    ap.add_argument("-o", "--output", type=Path, required=True)
    ap.add_argument("wanted", nargs="+", metavar="NAME=CAPTION")
    args = ap.parse_args()
    known = {t.name: t for t in known_tiles()}
    tiles = []
    for text in args.wanted:
        name, _, caption = text.partition("=")
        if known[name].source not in SHOWN:
            raise SystemExit(f"{name}: of {known[name].source}, which may not be shown here")
        tiles.append((known[name], caption))
    sheet(tiles, args.root).save(args.output, quality=82)


if __name__ == "__main__":
    main()
