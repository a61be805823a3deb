"""Blocks written as rows of words, one word a cell: ``cells = "NE SE / NW SW"``."""

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from quiltgeom.geometry.outline import Outline
from quiltgeom.library.notation.drawing import MOST_PATCHES, Drawing, fitted
from quiltgeom.library.notation.words import LETTERS, Shape, word_names, word_shapes
from quiltgeom.library.typed_reader import Reader
from quiltgeom.model.block import Patch
from quiltgeom.tolerance import SAME_POINT, SAME_SHARE

_WORD = re.compile(
    r"(?P<base>[A-Za-z0-9_]+)(?:=(?P<colours>[A-Z-]+))?(?P<mirror>~?)(?P<turn>>{0,3})"
    r"(?::(?P<w>[1-9]\d?)x(?P<h>[1-9]\d?))?(?:@(?P<parts>[a-z_/]+))?"
)
_EXAMPLE = (
    "D, NE, NE=ML, D@centre, FN:2x1, L:5x3@centre, . for a cell that another covers, "
    "- for an empty one"
)


@dataclass(frozen=True, slots=True)
class _Cell:
    """One word with its place: column, row, columns and rows spanned."""

    word: re.Match[str]
    column: int
    row: int
    across: int
    down: int

    @property
    def label(self) -> str:
        return f"word {self.word[0]!r} in row {self.row + 1}, column {self.column + 1}"


class Cells:
    """Draws cells: needs the colour letters and the units that the file itself defines."""

    def __init__(
        self, reader: Reader, letters: Mapping[str, str], units: Mapping[str, Drawing], where: str
    ) -> None:
        self.reader, self.letters, self.units, self.where = reader, letters, units, where

    def draw(self, text: str, columns: list[float], rows: list[float]) -> Drawing:
        """The drawing of the whole text; sizes default to 1 where the list is empty."""
        cells, across, down = self._layout(text)
        columns = self._sizes(columns, across, "columns")
        rows = self._sizes(rows, down, "rows")
        xs = [0.0, *itertools.accumulate(columns)]
        ys = [0.0, *itertools.accumulate(rows)]
        drawing = Drawing(xs[-1], ys[-1])
        for cell in cells:
            right, bottom = xs[cell.column + cell.across], ys[cell.row + cell.down]
            box = (xs[cell.column], ys[cell.row], right, bottom)
            patches = self._cell(cell, box, (drawing.width, drawing.height))
            if len(drawing.patches) + len(patches) > MOST_PATCHES:
                found, most = f"more at {cell.label}", f"up to {MOST_PATCHES}"
                self.reader.report(self.where, "a block of few patches", found, most)
                break
            drawing.patches += patches
            drawing.labels += [cell.label] * len(patches)
        return drawing

    def _layout(self, text: str) -> tuple[list[_Cell], int, int]:
        lines = [line.split() for line in re.split(r"\n|\s[/|]\s", text) if line.strip()]
        width = max((len(line) for line in lines), default=0)
        if (count := sum(map(len, lines))) > MOST_PATCHES:
            most = f"up to {MOST_PATCHES} words"
            self.reader.report(self.where, "a block of few cells", count, most)
            return [], width, len(lines)
        before = len(self.reader.findings)
        cells: list[_Cell] = []
        covered: dict[tuple[int, int], str] = {}
        for row, line in enumerate(lines):
            if len(line) != width:
                where, found = f"{self.where}: row {row + 1}", f"{len(line)} words"
                self.reader.report(where, "rows are equally long", found, f"{width} words")
            for column, token in enumerate(line):
                cell = self._parse(token, row, column)
                if cell and self._cover(cell, covered, (width, len(lines))):
                    cells.append(cell)
        if len(self.reader.findings) == before:  # else the dots of a faulty word would all show up
            for row, line in enumerate(lines):
                for column, token in enumerate(line):
                    if token == "." and (row, column) not in covered:
                        self._odd(row, column, "a dot is covered by another word", "'.'")
        return cells, width, len(lines)

    def _odd(self, row: int, column: int, rule: str, found: str, accepted: str = _EXAMPLE) -> None:
        where = f"{self.where}: row {row + 1}, column {column + 1}"
        self.reader.report(where, rule, found, accepted)

    def _parse(self, token: str, row: int, column: int) -> _Cell | None:
        if token in (".", "-"):
            return None
        word = _WORD.fullmatch(token)
        if word is None:
            self._odd(row, column, "a word of the cell notation", repr(token))
            return None
        return _Cell(word, column, row, int(word["w"] or 1), int(word["h"] or 1))

    def _cover(
        self, cell: _Cell, covered: dict[tuple[int, int], str], size: tuple[int, int]
    ) -> bool:
        if cell.column + cell.across > size[0] or cell.row + cell.down > size[1]:
            self._odd(cell.row, cell.column, "the span stays inside the block", repr(cell.word[0]))
            return False
        for r, c in itertools.product(range(cell.down), range(cell.across)):
            spot = (cell.row + r, cell.column + c)
            if spot in covered:
                self._odd(*spot, "one word a cell", f"{covered[spot]!r} and {cell.word[0]!r}")
            covered[spot] = cell.word[0]
        return True

    def _sizes(self, sizes: list[float], count: int, what: str) -> list[float]:
        if sizes and len(sizes) != count:
            rule, found = f"one size for each of the {what}", f"{len(sizes)} sizes"
            self.reader.report(f"{self.where}: {what}", rule, found, f"{count}")
        return sizes if len(sizes) == count else [1.0] * count

    def _cell(
        self, cell: _Cell, box: tuple[float, float, float, float], size: tuple[float, float]
    ) -> list[Patch]:
        x0, y0, x1, y1 = box
        base, quarter, mirror = cell.word["base"], len(cell.word["turn"]), bool(cell.word["mirror"])
        if base in self.units:
            return self._unit(cell, box, quarter, mirror)
        shapes = word_shapes(base)
        if not shapes and len(base) == 1 and base in self.letters:
            part = (cell.word["parts"] or _place(box, size)).replace("_", " ")
            outline = Outline(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
            return [Patch(outline, self.letters[base], part)]
        if not shapes:
            known = ", ".join([*self.letters, *self.units, *word_names()])
            self._odd(cell.row, cell.column, "a known word", repr(base), known)
            return []
        out = []
        for letter, part, outline, turn in self._coloured(cell, shapes):
            place = _stretch(outline, quarter, mirror, box)
            role = self.letters.get(letter, "")
            if letter != "-" and not role:
                self._odd(cell.row, cell.column, "a known colour letter", repr(letter))
            elif letter != "-":
                angle = ((-turn if mirror else turn) + 90.0 * quarter) % 360.0
                out.append(Patch(place, role, part, angle))
        return out

    def _coloured(self, cell: _Cell, shapes: Sequence[Shape]) -> list[Shape]:
        """The shapes with the colours and parts that the word itself gives."""
        first = list(dict.fromkeys(s.letter for s in shapes))
        if re.match(r"\d+[HV]", cell.word["base"]) and cell.word["colours"]:
            stripes = cell.word["colours"]
            if len(stripes) == len(shapes):
                return [s._replace(letter=c) for s, c in zip(shapes, stripes, strict=True)]
        colours = list(cell.word["colours"] or first)
        parts = (cell.word["parts"] or "").replace("_", " ").split("/")
        if len(colours) != len(first) or len(parts) > len(first):
            rule = f"{len(first)} colours ({''.join(first)})"
            self._odd(cell.row, cell.column, rule, repr(cell.word[0]))
            return list(shapes)
        to = dict(zip(first, colours, strict=True))
        name = dict(zip(first, parts, strict=False))
        return [s._replace(letter=to[s.letter], part=name.get(s.letter) or s.part) for s in shapes]

    def _unit(
        self, cell: _Cell, box: tuple[float, float, float, float], quarter: int, mirror: bool
    ) -> list[Patch]:
        unit = self.units[cell.word["base"]]
        w, h = (unit.width, unit.height) if quarter % 2 == 0 else (unit.height, unit.width)
        across, down = box[2] - box[0], box[3] - box[1]
        if abs(across * h - down * w) > SAME_SHARE * across * h:
            found = f"{w:g} x {h:g} in a cell of {across:g} x {down:g}"
            self._odd(cell.row, cell.column, "a unit keeps its proportions", found)
            return []
        patches = fitted(unit, box[0], box[1], across / w, quarter, mirror)
        colours = cell.word["colours"]
        if colours:
            pairs = [p for p in zip("DLMCR", colours, strict=False) if p[1] in self.letters]
            to = {self.letters[a]: self.letters[b] for a, b in pairs}
            patches = [replace(p, role=to.get(p.role, p.role)) for p in patches]
        return patches


def _stretch(
    outline: Outline, quarter: int, mirror: bool, box: tuple[float, float, float, float]
) -> Outline:
    if quarter or mirror:
        outline = outline.turned(90.0 * quarter, (0.5, 0.5), mirror=mirror)
    x0, y0, x1, y1 = box
    w, h = x1 - x0, y1 - y0
    points = tuple([(x0 + w * x, y0 + h * y) for x, y in outline.points])
    if w != h and not outline.is_straight:  # arcs stay arcs of circles, whatever the cell's shape
        return Outline(points, outline.bulges)
    return Outline.image(points, outline.bulges, w * h * outline.area, mirrored=False)


def _place(box: tuple[float, float, float, float], size: tuple[float, float]) -> str:
    """The usual name of a plain cell's place: centre, corner, edge, else square."""
    x0, y0, x1, y1 = box
    w, h = size
    if max(abs(x0 + x1 - w), abs(y0 + y1 - h)) < SAME_POINT:
        return "centre"
    sides = sum((x0 == 0, y0 == 0, x1 == w, y1 == h))
    return ("square", "edge", "corner", "edge", "edge")[sides]


def read_cells(
    reader: Reader, table: Mapping[str, object], units: Mapping[str, Drawing], where: str
) -> Drawing | None:
    """The ``cells``, ``columns``, ``rows`` and ``letters`` of a table; None if there are none."""
    text = table.get("cells")
    if text is None:
        return None
    if not isinstance(text, str) or not text.strip():
        reader.report(where, "cells is a text", repr(text), 'cells = "D L / L D"')
        return None
    letters = dict(LETTERS)
    own = table.get("letters", {})
    if isinstance(own, dict) and all(
        isinstance(v, str) and v.strip() and len(k) == 1 for k, v in own.items()
    ):
        letters.update(own)
    else:
        reader.report(where, "letters gives roles to letters", repr(own), 'letters = {A = "leaf"}')
    columns, rows = (
        reader.numbers(table[k], where, k) if k in table else [] for k in ("columns", "rows")
    )
    return Cells(reader, letters, units, f"{where}: cells").draw(text, columns, rows)
