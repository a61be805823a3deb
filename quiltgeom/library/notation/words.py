"""The words of the cell notation: each draws one to nine patches in a cell."""

import itertools
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

from quiltgeom.geometry.outline import Outline
from quiltgeom.library.typed_reader import Reader
from quiltgeom.texts import read_toml

LETTERS: Mapping[str, str] = {
    "D": "accent",
    "L": "background",
    "M": "second",
    "C": "third",
    "R": "focus",
}
"""Colour letters: dark, light, medium, contrast, and the featured print."""

_COUNTED = re.compile(r"([2-9]|16|25)([HVPQ])")
_STRIPES = {2: "DL", 3: "DLD", 4: "DLDL", 5: "DLMLD", 6: "DLDLDL", 7: "DLMCMLD"}


class Shape(NamedTuple):
    """One patch of a word, in the unit square: colour letter, part, outline, turn in degrees."""

    letter: str
    part: str
    outline: Outline
    turn_deg: float


@cache
def _table() -> dict[str, tuple[Shape, ...]]:
    path = Path(__file__).with_name("words.toml")
    reader = Reader(path.name)
    words: dict[str, tuple[Shape, ...]] = {}
    for entry in read_toml(path)["word"]:
        base = [(s, p, reader.outline(at, f"{entry['names'][0]}")) for s, p, at in entry["shapes"]]
        for k, name in enumerate(entry["names"]):
            words[name] = tuple(
                Shape(letter, part, outline.turned(90.0 * k, (0.5, 0.5)), 90.0 * k)
                for letter, part, outline in base
                if outline is not None
            )
    return words


def word_names() -> list[str]:
    """All words, for a message; counted words (``3H``, ``9P``) by example.

    >>> "NE" in word_names(), "FE" in word_names()
    (True, True)
    """
    return [*_table(), "2H to 9H", "2V to 9V", "4P 9P 16P 25P", "4Q 9Q 16Q 25Q"]


@cache
def word_shapes(word: str) -> tuple[Shape, ...]:
    """The patches of a word in the unit square; empty if there is no such word.

    >>> [(s.letter, s.outline.area) for s in word_shapes("NE")]
    [('D', 0.5), ('L', 0.5)]
    >>> len(word_shapes("9P")), [s.letter for s in word_shapes("3H")], word_shapes("ZZ")
    (9, ['D', 'L', 'D'], ())
    """
    if word in _table():
        return _table()[word]
    counted = _COUNTED.fullmatch(word)
    if not counted:
        return ()
    n, kind = int(counted[1]), counted[2]
    if kind in "HV":
        letters = _STRIPES.get(n, ("DL" * n)[:n])
        ends = [(k / n, (k + 1) / n) for k in range(n)]
        rails = [_box(0, a, 1, b) if kind == "H" else _box(a, 0, b, 1) for a, b in ends]
        turn = 0.0 if kind == "H" else 90.0
        return tuple(Shape(c, "rail", r, turn) for c, r in zip(letters, rails, strict=True))
    return _checks(n, kind == "P")


def _checks(count: int, dark_first: bool) -> tuple[Shape, ...]:
    n = round(count**0.5)
    if n * n != count:
        return ()
    out = []
    for j, i in itertools.product(range(n), repeat=2):
        square = _box(i / n, j / n, (i + 1) / n, (j + 1) / n)
        out.append(Shape("DL"[(i + j + (not dark_first)) % 2], "check", square, 0.0))
    return tuple(out)


def _box(x0: float, y0: float, x1: float, y1: float) -> Outline:
    return Outline(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
