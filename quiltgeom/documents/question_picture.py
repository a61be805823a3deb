"""The two pictures beside the question about a print: as it is, and turned or moved."""

import math

from quiltgeom.fabric.cloth import Cloth
from quiltgeom.fabric.reading.print_question import PrintQuestion
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.geometry.outline import rectangle
from quiltgeom.render.scene import ClothPaint, Fill, Item, path_of
from quiltgeom.render.text import text_items, wrap_text

View = tuple[float, float, float, float, str]
"""Left, top and side of a square of the swatch, inches; how far it is turned; what it is."""

SIDE = 4.0
"""Inches: side of a picture on a sheet."""

_GAP, _INK, _QUIET_INK = 0.35, "#1d2b3a", "#6b7785"
_LEAST_IN = 4.0  # of the print: less shows too little to compare
_WORDS = {180.0: "turned upside down", 90.0: "turned sideways"}


def question_views(reading: Reading, question: PrintQuestion) -> tuple[View, View]:
    """What the two pictures show: at least four inches, three motifs and more than one repeat, or
    all of the swatch where that is less.

    >>> import numpy as np
    >>> from quiltgeom.fabric.reading.print_question import direction_question
    >>> from quiltgeom.fabric.reading.reading import read_array
    >>> plain = read_array(np.full((64, 64, 3), 90, dtype=np.uint8), 6.0)
    >>> question_views(plain, direction_question("print"))[1]
    (0.0, 0.0, 6.0, 180.0, 'turned upside down')
    """
    w, h = reading.width_in, reading.height_in
    dx, dy = question.shift_in
    motif, repeat = reading.motif.typical, reading.repeat.size_in
    side = max(_LEAST_IN, 3 * motif, *(1.5 * v for v in repeat or ())) if motif else math.inf
    if dx or dy:
        side = max(repeat or (_LEAST_IN,))
    side = min(side, w - dx, h - dy)
    x, y = (w - dx - side) / 2, (h - dy - side) / 2
    second = _WORDS.get(question.turn_deg, "the other place")
    first = "as in the photo" if question.turn_deg else "one place"
    return (x, y, side, 0.0, first), (x + dx, y + dy, side, question.turn_deg, second)


def question_items(reading: Reading, cloth: Cloth, x: float, y: float) -> list[Item]:
    """The question with its pictures and answers, about 4 3/4 in high and 12 in wide; nothing
    where there is none."""
    question = reading.question
    if question is None:
        return []
    out: list[Item] = [*text_items(question.text, x, y, 13, colour=_INK)]
    top = y + 0.2
    for view in question_views(reading, question):
        out.append(_picture(cloth, view, x, top))
        out += text_items(view[4], x, top + SIDE + 0.2, 9, colour=_QUIET_INK)
        x += SIDE + _GAP
    for answer in question.answers:
        for line, size, colour in ((answer.words, 11, _INK), (answer.option, 9, _QUIET_INK)):
            for part in wrap_text(line, 3.4, size):
                top += 0.24
                out += text_items(part, x, top, size, colour=colour)
        top += 0.2
    out += text_items(f"Until you say, {question.unanswered}.", x, top + 0.24, 9, colour=_QUIET_INK)
    return out


def _picture(cloth: Cloth, view: View, x: float, y: float) -> Fill:
    left, top, side, turn, _ = view
    k, a = SIDE / side, math.radians(turn)
    c, s = k * math.cos(a), k * math.sin(a)
    cx, cy = left + side / 2, top + side / 2
    moved = x + SIDE / 2 - (c * cx - s * cy), y + SIDE / 2 - (s * cx + c * cy)
    return Fill(path_of(rectangle(x, y, SIDE, SIDE)), ClothPaint(cloth, (c, s, -s, c, *moved)))
