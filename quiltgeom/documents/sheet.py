"""A grid of captioned pictures on pages: contact sheets, galleries, swatch cards."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from quiltgeom.geometry.outline import rectangle
from quiltgeom.render.scene import Item, Scene, Stroke, path_of
from quiltgeom.render.text import fit_text, text_items, wrap_text

LETTER = (8.5, 11.0)
"""ANSI/ASME Y14.1 size A, inches."""
A4 = (210 / 25.4, 297 / 25.4)
"""ISO 216, inches."""


@dataclass(frozen=True)
class Picture:
    """A scene with a heading and a few words.

    Attributes:
        scene: scaled to its place on the sheet.
        heading: one line, made smaller where it is too long.
        words: wrapped below, cut off after the lines that there is room for.
    """

    scene: Scene
    heading: str
    words: str = ""
    frame: bool = True


def picture_sheet(
    pictures: Sequence[Picture],
    *,
    title: str,
    paper: tuple[float, float] = LETTER,
    columns: int = 3,
    rows: int = 3,
    word_lines: int = 2,
) -> list[Scene]:
    """Pages with ``columns`` x ``rows`` captioned pictures each; at least one page.

    Args:
        paper: page width and height, inches.
        word_lines: room for this many lines of words under each heading.
    """
    grid = _Grid(paper, columns, rows, word_lines)
    per_page = columns * rows
    count = max(1, -(-len(pictures) // per_page))
    pages = []
    for number in range(count):
        page = Scene(*paper, title=title)
        page = page.with_items(*grid.head(title, number + 1, count), label="head")
        for k, picture in enumerate(pictures[number * per_page : (number + 1) * per_page]):
            page = grid.place(page, picture, k)
        pages.append(page)
    return pages


@dataclass(frozen=True)
class _Grid:
    paper: tuple[float, float]
    columns: int
    rows: int
    word_lines: int
    margin: float = 0.6
    gap: float = 0.3
    heading_pt: float = 11.0
    words_pt: float = 8.5

    @property
    def caption(self) -> float:
        """Height of the caption under a picture, inches."""
        return 0.10 + (self.heading_pt * 1.25 + self.word_lines * self.words_pt * 1.25) / 72

    @property
    def cell(self) -> tuple[float, float]:
        """Width and height of a cell, picture and caption."""
        w = (self.paper[0] - 2 * self.margin - (self.columns - 1) * self.gap) / self.columns
        h = (self.paper[1] - 2 * self.margin - 0.5 - (self.rows - 1) * self.gap) / self.rows
        return w, h

    def head(self, title: str, number: int, count: int) -> list[Item]:
        y = self.margin + 0.12
        size = fit_text(title, self.paper[0] - 2 * self.margin - 1.0, 17, "Semibold")
        items: list[Item] = [*text_items(title, self.margin, y, size, font="Semibold")]
        if count > 1:
            x = self.paper[0] - self.margin
            items += text_items(f"{number} / {count}", x, y, 9, anchor="end", colour="#666666")
        return items

    def place(self, page: Scene, picture: Picture, k: int) -> Scene:
        w, h = self.cell
        x = self.margin + k % self.columns * (w + self.gap)
        y = self.margin + 0.5 + k // self.columns * (h + self.gap)
        scale = min(w / picture.scene.width, (h - self.caption) / picture.scene.height)
        sw, sh = picture.scene.width * scale, picture.scene.height * scale
        left, top = x + (w - sw) / 2, y + (h - self.caption - sh)
        page = page.with_scene(picture.scene, left, top, scale)
        below = y + h - self.caption + 0.10
        size = fit_text(picture.heading, w, self.heading_pt, "Semibold")
        items: list[Item] = []
        if picture.frame:
            items.append(Stroke(path_of(rectangle(left, top, sw, sh)), 0.008, "#555555"))
        at = x + w / 2, below + self.heading_pt / 72 * 0.8
        items += text_items(picture.heading, *at, size, font="Semibold", anchor="middle")
        small = self.words_pt
        if self.word_lines == 1:
            small = fit_text(picture.words, w, small)
        lines = wrap_text(picture.words, w * 1.001, small)
        if len(lines) > self.word_lines:
            lines = lines[: self.word_lines]
            lines[-1] = lines[-1].rstrip(" ,;") + " …"
        at = x + w / 2, below + (self.heading_pt * 1.25 + self.words_pt) / 72
        items += text_items(lines, *at, small, anchor="middle", colour="#444444")
        page = page.with_items(*items)
        # one layer of captions per picture keeps the drawing order simple; merge their names
        last = replace(page.layers[-1], label="caption")
        return replace(page, layers=(*page.layers[:-1], last))
