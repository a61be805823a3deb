"""Words on the pieces of a cutting diagram: letter and size, on each or once on equal ones."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from quiltgeom.cutting.fabric_plan import PlacedUnit
from quiltgeom.geometry.outline import rectangle
from quiltgeom.render.scene import Fill, Item, Path, Segment, Solid, path_of
from quiltgeom.render.text import text_path, text_width

Box = tuple[float, float, float, float]
"""Left, top, width, height."""
OnPage = Callable[[Sequence[PlacedUnit]], Box]
"""The box round some pieces on the page, inches."""
_READ, _LEAST, _LARGEST = 6.0, 5.0, 8.5
"""Points: what is easily read, what can be read, what sizes are at most written in."""
_UP, _LINE, _GAP = 0.68, 0.86, 0.16
"""Ems: digits above the baseline, with what hangs below it, and between two lines."""
_PAD, _PLATE = (0.04, 0.02), (0.02, 0.005)
"""Inches between words and the edge of their piece, and how far their plate reaches; each beside
and above."""


@dataclass(frozen=True, slots=True)
class Mark:
    """Words in a box on the page: their lines, the size of each in points, upright or level.

    Attributes:
        label, count: letter of the list, and how many pieces it stands for.
        upright: read from below.
    """

    label: str
    count: int
    rows: tuple[tuple[str, float], ...]
    box: Box
    upright: bool = False

    @property
    def size(self) -> tuple[float, float]:
        """Width and height on the page, inches."""
        w = max(text_width(text, points) for text, points in self.rows)
        h = sum(p * _LINE for _, p in self.rows) + self.rows[0][1] * _GAP * (len(self.rows) - 1)
        return (h / 72, w) if self.upright else (w, h / 72)

    def items(self, ground: str | None, colour: str = "#222222") -> list[Item]:
        """The words in the middle of their box, on a plate of this colour."""
        x, y = self.box[0] + self.box[2] / 2, self.box[1] + self.box[3] / 2
        w, h = self.size
        items: list[Item] = []
        if ground:
            dx, dy = _PLATE[::-1] if self.upright else _PLATE
            plate = rectangle(x - w / 2 - dx, y - h / 2 - dy, w + 2 * dx, h + 2 * dy)
            items.append(Fill(path_of(plate), Solid(ground)))
        top = -(w if self.upright else h) / 2
        for text, points in self.rows:
            path = text_path(text, 0.0, top + points * _UP / 72, points, anchor="middle")
            path = _read_from_below(path, x, y) if self.upright else path.moved(x, y)
            items.append(Fill(path, Solid(colour)))
            top += (points * _LINE + self.rows[0][1] * _GAP) / 72
        return items


def _read_from_below(path: Path, x: float, y: float) -> Path:
    """A quarter turn counter-clockwise about the origin, then shifted; words have no arcs."""

    def turned(segment: Segment) -> Segment:
        op, v = segment
        return op, tuple(c for k in range(0, len(v), 2) for c in (x + v[k + 1], y - v[k]))

    return Path(tuple(turned(s) for s in path.segments))


def best_mark(
    words: Iterable[tuple[tuple[str, float], ...]],
    box: Box,
    *,
    label: str = "",
    count: int = 1,
    most: float = _LARGEST,
) -> tuple[float, Mark]:
    """Of several ways to write the same (lines with their relative size), level or upright, the
    one that can be largest in a box; its size in points first.

    >>> best_mark([(("A", 1.0),)], (0, 0, 1, 1))[0]
    8.5
    """
    found = []
    for rows in words:
        for upright in (False, True):
            one = Mark(label, count, rows, box, upright)
            (w, h), pads = one.size, _PAD[::-1] if upright else _PAD
            room = [max(side - 2 * pad, 0.0) for side, pad in zip(box[2:], pads, strict=True)]
            points = min(most, room[0] / w, room[1] / h)
            sized = tuple((text, k * points) for text, k in rows)
            found.append((points, Mark(label, count, sized, box, upright)))
    # level words are read more easily
    return max(found, key=lambda f: f[0] * (1.0 if f[1].upright else 1.15))


def piece_marks(
    strips: Sequence[Sequence[PlacedUnit]], labels: dict[int, str], on_page: OnPage
) -> list[Mark]:
    """Words for all pieces of a cloth, none over another: every mark lies in its own pieces.

    Letter and size on each piece where they can be read; else once on equal neighbours in a strip
    with their number; else the letter alone; where strips are too narrow, equal neighbours of
    several strips share one.
    """
    out: list[Mark] = []
    narrow: list[PlacedUnit] = []
    for pieces in strips:
        for block in _blocks(pieces, labels):
            marks = _on_each(block, labels, on_page) or _on_block(block, labels, on_page)
            if marks:
                out += marks
            else:
                narrow += block
    for block in _blocks(narrow, labels):
        out += _on_block(block, labels, on_page) or [_smallest(block, labels, on_page)]
    return out


def _sizes(piece: PlacedUnit) -> list[str]:
    """The size as in the list, across the cloth first; of squares also one side alone."""
    unit = piece.unit
    text = unit.ruler.text
    w, h = (text(v, unit=False) for v in (unit.wide, unit.high))
    return [f"{w} x {h}", text(unit.wide)] if w == h else [f"{w} x {h}"]


def _on_each(block: Sequence[PlacedUnit], labels: dict[int, str], on_page: OnPage) -> list[Mark]:
    """Letter and size on every piece, the short form where the long one would be small; nothing if
    that cannot be read."""
    label, sizes = labels[block[0].number], _sizes(block[0])
    _, _, w, h = on_page(block[:1])
    for size in sizes:
        words = [((label, 1.25), (size, 1.0)), ((f"{label}  {size}", 1.0),)]
        if max(w, h) > 4 * min(w, h):  # one line where both would be as large
            words.reverse()
        marks = [best_mark(words, on_page([p]), label=label) for p in block]
        if min(points for points, _ in marks) >= _READ + (size != sizes[-1]):
            return [mark for _, mark in marks]
    return []


def _on_block(block: Sequence[PlacedUnit], labels: dict[int, str], on_page: OnPage) -> list[Mark]:
    """Number, letter and size once, else letters alone, else their number; nothing if that is too
    small."""
    label, n, box = labels[block[0].number], len(block), on_page(block)
    counted = f"{n} {label}" if n > 1 else label
    for size in _sizes(block[0])[::-1]:
        words = [((counted, 1.0), (size, 1.0)), ((f"{counted}  {size}", 1.0),)]
        points, mark = best_mark(words, box, label=label, count=n)
        if points >= _READ:
            return [mark]
    letters = [best_mark([((label, 1.0),)], on_page([p]), label=label) for p in block]
    if min(points for points, _ in letters) >= _READ:
        return [mark for _, mark in letters]
    points, mark = best_mark([((counted, 1.0),)], box, label=label, count=n)
    return [mark] if points >= _LEAST else []


def _smallest(block: Sequence[PlacedUnit], labels: dict[int, str], on_page: OnPage) -> Mark:
    label, n = labels[block[0].number], len(block)
    text = f"{n} {label}" if n > 1 else label
    return best_mark([((text, 1.0),)], on_page(block), label=label, count=n)[1]


def _blocks(pieces: Sequence[PlacedUnit], labels: dict[int, str]) -> list[list[PlacedUnit]]:
    """Equal pieces that together fill a rectangle: runs side by side, then runs below runs."""
    blocks = [[p] for p in sorted(pieces, key=lambda p: (p.y, p.x))]
    for level in (True, False):
        grown: dict[object, list[PlacedUnit]] = {}
        for block in blocks:
            x0, y0, x1, y1 = (round(v, 6) for v in _edges(block))
            kind = labels[block[0].number], round(block[0].width, 6), round(block[0].height, 6)
            # a block waits under the edge that the next one has to begin at
            mine = grown.pop((kind, x0, y0, y1) if level else (kind, y0, x0, x1), [])
            grown[(kind, x1, y0, y1) if level else (kind, y1, x0, x1)] = mine + block
        blocks = list(grown.values())
    return blocks


def _edges(block: Sequence[PlacedUnit]) -> Box:
    """Left, top, right, bottom."""
    right, bottom = max(p.x + p.width for p in block), max(p.y + p.height for p in block)
    return min(p.x for p in block), min(p.y for p in block), right, bottom
