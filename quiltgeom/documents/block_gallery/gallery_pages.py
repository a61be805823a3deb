"""The gallery on paper: families one after another, as many to a page as there is room for."""

from collections.abc import Sequence
from dataclasses import dataclass

from quiltgeom.documents.sheet import LETTER
from quiltgeom.library.block_facts import short_facts
from quiltgeom.model.block import Block
from quiltgeom.render.mockup import block_scene
from quiltgeom.render.scene import Item, Scene, Stroke, line_path
from quiltgeom.render.text import fit_text, text_items, text_width, wrap_text

_MARGIN, _GAP, _COLUMNS = 0.6, 0.3, 4
_PICTURE = 1.4  # inches, the longer side of a block
_NAME, _SMALL = 10.5, 8.0  # points
_LINE = 1.28 / 72  # inches a line of one point takes
_HEAD = 0.52  # a family's heading
_FOOT = 0.3
_INK, _PALE, _RULE = "#222222", "#55504a", "#2f5d73"


@dataclass(frozen=True)
class _Caption:
    """What stands under a picture, already broken into lines."""

    name: str
    size: float
    also: list[str]
    facts: list[str]

    @property
    def height(self) -> float:
        return 0.1 + _NAME * _LINE + (len(self.also) + len(self.facts)) * _SMALL * _LINE

    def items(self, x: float, y: float) -> list[Item]:
        """All lines, centred on ``x``, below ``y``."""
        at = y + 0.1 + _NAME / 72 * 0.8
        out: list[Item] = [
            *text_items(self.name, x, at, self.size, font="Semibold", anchor="middle", colour=_INK)
        ]
        at += _NAME * _LINE * 0.95
        for line in self.facts + self.also:
            out += text_items(line, x, at, _SMALL, anchor="middle", colour=_PALE)
            at += _SMALL * _LINE
        return out


def some_names(names: Sequence[str], width: float, points: float, lines: int) -> list[str]:
    """As many whole names as go into so many lines, and how many more there are.

    >>> some_names(["Duck's Foot", "Bear's Foot", "Hand of Friendship"], 1.6, 8, 1)
    ["also Duck's Foot and 2 more"]
    >>> some_names(["Hand of Friendship"], 0.8, 8, 1), some_names([], 1.6, 8, 2)
    (['1 other name'], [])
    """
    for count in range(len(names), 0, -1):
        left = len(names) - count
        text = "also " + ", ".join(names[:count]) + (f" and {left} more" if left else "")
        rows = wrap_text(text, width, points)
        if len(rows) <= lines and all(text_width(r, points) <= width for r in rows):
            return rows
    return [f"{len(names)} other name{'s' if len(names) != 1 else ''}"] if names else []


def gallery_pages(
    families: Sequence[tuple[str, Sequence[Block]]],
    *,
    title: str,
    paper: tuple[float, float] = LETTER,
) -> list[Scene]:
    """Pages of blocks in rows of four under the headings of their families.

    Args:
        paper: page width and height, inches.

    A heading stands on the same page as its first row; rows are as high as their captions ask.
    """
    flow = _Flow(title, paper)
    for family, blocks in families:
        rows = [blocks[i : i + _COLUMNS] for i in range(0, len(blocks), _COLUMNS)]
        for number, row in enumerate(rows):
            captions = [_caption(b, flow.cell) for b in row]
            picture = max(_size(b)[1] for b in row)
            height = picture + max(c.height for c in captions)
            if number == 0:
                flow.heading(family[:1].upper() + family[1:], len(blocks), height)
            flow.row(row, captions, picture, height)
    return flow.finished()


def _size(block: Block) -> tuple[float, float]:
    """Width and height of a block's picture, inches."""
    k = _PICTURE / max(block.width, block.height)
    return block.width * k, block.height * k


def _caption(block: Block, width: float) -> _Caption:
    size = fit_text(block.name, width, _NAME, "Semibold")
    also = some_names(block.aliases, width, _SMALL, 3)
    return _Caption(block.name, size, also, wrap_text(short_facts(block), width, _SMALL))


class _Flow:
    """Fills one page after another from the top."""

    def __init__(self, title: str, paper: tuple[float, float]) -> None:
        self.title, self.paper = title, paper
        self.cell = (paper[0] - 2 * _MARGIN - (_COLUMNS - 1) * _GAP) / _COLUMNS
        self.pages: list[Scene] = []
        self._turn()
        big = text_items(title, _MARGIN, _MARGIN + 0.25, 24, font="Bold", colour=_INK)
        self.pages[0] = self.pages[0].with_items(*big, label="head")
        self.y += 0.55

    def _turn(self) -> None:
        self.pages.append(Scene(*self.paper, title=self.title))
        self.y = _MARGIN

    def _needs(self, height: float) -> None:
        if self.y + height > self.paper[1] - _MARGIN - _FOOT:
            self._turn()

    def heading(self, text: str, count: int, row: float) -> None:
        """A family's name over a rule; turns the page where its first row has no room below."""
        self._needs(_HEAD + row)
        right = self.paper[0] - _MARGIN
        base = self.y + 0.22
        items: list[Item] = [*text_items(text, _MARGIN, base, 14, font="Semibold", colour=_RULE)]
        words = f"{count} block{'s' if count != 1 else ''}"
        items += text_items(words, right, base, _SMALL, anchor="end", colour=_PALE)
        rule = line_path([(_MARGIN, base + 0.08), (right, base + 0.08)])
        items.append(Stroke(rule, 0.012, _RULE))
        self.pages[-1] = self.pages[-1].with_items(*items, label="family")
        self.y += _HEAD

    def row(
        self, blocks: Sequence[Block], captions: Sequence[_Caption], picture: float, height: float
    ) -> None:
        """One row of pictures, up to ``picture`` high, standing on one line, with captions."""
        self._needs(height)
        page = self.pages[-1]
        words: list[Item] = []
        for k, (block, caption) in enumerate(zip(blocks, captions, strict=True)):
            w, h = _size(block)
            scene = block_scene(block, w)
            middle = _MARGIN + k * (self.cell + _GAP) + self.cell / 2
            page = page.with_scene(scene, middle - w / 2, self.y + picture - h)
            words += caption.items(middle, self.y + picture)
        self.pages[-1] = page.with_items(*words, label="captions")
        self.y += height + 0.2

    def finished(self) -> list[Scene]:
        """The pages, numbered."""
        out = []
        for number, page in enumerate(self.pages, 1):
            y = self.paper[1] - _MARGIN
            foot = text_items(self.title, _MARGIN, y, _SMALL, colour=_PALE)
            right, text = self.paper[0] - _MARGIN, f"{number} / {len(self.pages)}"
            foot += text_items(text, right, y, _SMALL, anchor="end", colour=_PALE)
            out.append(page.with_items(*foot, label="foot"))
        return out
