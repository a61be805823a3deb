"""How to take a photo of cloth again: a drawing in which only what needs doing stands out."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from quiltgeom.fabric.photo.faults.photo_faults import PhotoFault
from quiltgeom.geometry.outline import rectangle
from quiltgeom.render.scene import Fill, Item, Scene, Solid, Stroke, line_path, path_of
from quiltgeom.render.text import text_items, wrap_text

WIDTH, HEIGHT = 12.2, 4.9  # inches
_INK, _SOFT, _MARK = "#1d2b3a", "#9aa5b1", "#d3271c"
_TEXT_X = 7.0

PART = {
    "blurred": "hands",
    "burnt": "flash",
    "glare": "flash",
    "shadow": "window",
    "uneven light": "window",
    "dark": "window",
    "tilted": "phone",
    "cut off": "view",
    "few pixels": "view",
    "covered": "cloth",
    "colour unknown": "paper",
}
"""The part of the drawing that shows what to do about each fault."""

_BADGE = {
    "hands": (4.62, 0.42),
    "flash": (5.37, 1.38),
    "window": (0.55, 0.28),
    "phone": (3.66, 1.5),
    "view": (5.5, 3.3),
    "cloth": (2.72, 3.75),
    "paper": (1.4, 3.35),
}

Point = tuple[float, float]


def photo_again(faults: Sequence[PhotoFault]) -> Scene | None:
    """The drawing: a phone straight above a whole cloth, a window at the side, with a numbered line
    for each thing to do.

    Args:
        faults: of a photo.

    Returns:
        None where the photo will do.

    >>> photo_again([]) is None
    True
    """
    if not any(f.again for f in faults):
        return None
    steps = list(dict.fromkeys((PART[f.kind], f.todo) for f in faults))
    parts = {part for part, _ in steps}
    items = [
        *_table("paper" in parts, "view" in parts, "cloth" in parts),
        *_window("window" in parts),
        *_phone("phone" in parts, "hands" in parts),
        *(_no_flash() if "flash" in parts else []),
        *_labels(),
        *_lines(steps),
    ]
    scene = Scene(WIDTH, HEIGHT, title="Take the photo again")
    return scene.with_items(*items, label="take it again")


def _on_table(u: float, v: float) -> Point:
    """A place on the table, ``u`` from -1 (left) to 1, ``v`` from 0 (far) to 1, in the drawing."""
    return 3.3 + u * (2.15 + 0.75 * v), 2.45 + 2.2 * v**1.15


def _flat(u0: float, v0: float, u1: float, v1: float) -> list[Point]:
    return [_on_table(u, v) for u, v in ((u0, v0), (u1, v0), (u1, v1), (u0, v1))]


def _shape(
    points: Sequence[Point], fill: str, edge: str, width: float = 0.02, opacity: float = 1.0
) -> list[Item]:
    path = line_path(points, closed=True)
    return [Fill(path, Solid(fill, opacity)), Stroke(path, width, edge)]


def _edge(strong: bool) -> tuple[str, float]:
    return (_MARK, 0.05) if strong else (_SOFT, 0.02)


def _disc(x: float, y: float, rx: float, ry: float, turn: float = 0.0) -> list[Point]:
    angle = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    px, py = rx * np.cos(angle), ry * np.sin(angle)
    c, s = np.cos(turn), np.sin(turn)
    return [
        (float(a), float(b)) for a, b in zip(x + px * c - py * s, y + px * s + py * c, strict=True)
    ]


def _labels() -> list[Item]:
    words = {
        "window": (0.62, 2.5),
        "bank card": (4.86, 3.23),
        "ruler": (4.55, 4.4),
        "paper": (1.9, 3.98),
        "inside the dashes: the photo": (3.3, 4.84),
    }
    return [
        item
        for text, (x, y) in words.items()
        for item in text_items(text, x, y, 8.5, anchor="middle", colour="#5b6978")
    ]


def _table(paper: bool, view: bool, cloth: bool) -> list[Item]:
    """The table with the cloth, a bank card, a ruler and a sheet of paper beside it."""
    out = _shape(_flat(-1, 0, 1, 1), "#efe6da", _SOFT)
    out += _shape(_flat(-0.42, 0.2, 0.42, 0.8), "#bcd6e4", *_edge(cloth))
    for i in range(5):
        for j in range(4):
            at = _on_table(-0.34 + 0.17 * i, 0.27 + 0.15 * j)
            out += [Fill(line_path(_disc(*at, 0.085, 0.05), closed=True), Solid("#3f6f8f"))]
    out += _shape(_flat(-0.64, 0.3, -0.48, 0.62), "#ffffff", *_edge(paper))
    out += _shape(_flat(0.46, 0.42, 0.63, 0.53), "#d7dee6", _SOFT)
    out += _shape(_flat(-0.3, 0.85, 0.3, 0.9), "#f4dd8d", _SOFT)
    ticks = [(_on_table(u, 0.85), _on_table(u, 0.875)) for u in np.linspace(-0.3, 0.3, 13)]
    out += [Stroke(line_path(t), 0.012, _SOFT) for t in ticks]
    frame = line_path(_flat(-0.7, 0.05, 0.7, 0.96), closed=True)
    colour, width = _edge(view)
    out.append(Stroke(frame, width, colour, dash=(0.12, 0.08)))
    if view:
        (x0, y), (x1, _) = _on_table(0.42, 0.68), _on_table(0.7, 0.68)
        out += _arrow((x0, y), (x1, y)) + _arrow((x1, y), (x0, y))
    return out


def _arrow(start: Point, end: Point, colour: str = _MARK, width: float = 0.035) -> list[Item]:
    (x0, y0), (x1, y1) = start, end
    length = float(np.hypot(x1 - x0, y1 - y0))
    dx, dy = 0.13 * (x1 - x0) / length, 0.13 * (y1 - y0) / length
    head = [end, (x1 - dx - dy / 2, y1 - dy + dx / 2), (x1 - dx + dy / 2, y1 - dy - dx / 2)]
    line = line_path([start, (x1 - dx, y1 - dy)])
    return [Stroke(line, width, colour), Fill(line_path(head, closed=True), Solid(colour))]


def _window(strong: bool) -> list[Item]:
    """A window in the wall at the left, its light falling across the table."""
    frame = [(0.2, 0.55), (1.05, 0.75), (1.05, 2.15), (0.2, 2.3)]
    colour, width = _edge(strong)
    out: list[Item] = []
    for start, end in (
        ((1.2, 1.05), (2.6, 2.62)),
        ((1.2, 1.5), (2.3, 2.95)),
        ((1.2, 1.95), (1.95, 3.0)),
    ):
        out += _arrow(start, end, "#e0a100" if strong else "#ead9a6", 0.05 if strong else 0.03)
    out += _shape(frame, "#fff3c4" if strong else "#fbf7ea", colour, width)
    bars = [[(0.62, 0.65), (0.62, 2.22)], [(0.2, 1.4), (1.05, 1.42)]]
    return out + [Stroke(line_path(bar), width, colour) for bar in bars]


def _phone(strong: bool, hands: bool) -> list[Item]:
    """A phone lying flat in the air, what it sees, and two hands at its ends."""
    colour, width = _edge(strong)
    ends = _flat(-0.7, 0.05, 0.7, 0.96)
    out: list[Item] = [
        Stroke(line_path([(3.3, 0.9), e]), 0.015, _SOFT, 0.9, (0.06, 0.06)) for e in ends
    ]
    if strong:
        foot = _on_table(0, 0.5)
        out += _arrow((3.3, 1.0), foot)
        x, y = foot
        square = [(x, y - 0.16), (x + 0.16, y - 0.16), (x + 0.16, y)]
        out.append(Stroke(line_path(square), 0.025, _MARK))
    for side in (-1, 1):
        sleeve = [
            (3.3 + side * x, y) for x, y in ((1.2, 0.7), (2.1, 0.25), (2.1, 0.75), (1.25, 1.05))
        ]
        out += _shape(sleeve, "#dfe5ea", _SOFT)
        out += _shape(
            _disc(3.3 + side * 1.0, 0.86, 0.3, 0.2, side * -0.2), "#edc9ac", *_edge(hands)
        )
    top = [(2.5, 0.62), (4.1, 0.62), (4.2, 0.98), (2.4, 0.98)]
    out += _shape([(2.4, 0.98), (4.2, 0.98), (4.2, 1.08), (2.4, 1.08)], "#3a4653", colour, width)
    out += _shape(top, "#5b6978", colour, width)
    out += _shape([(2.65, 0.67), (3.95, 0.67), (4.02, 0.92), (2.58, 0.92)], "#cfe3ee", _SOFT)
    out += _shape([(3.02, 0.72), (3.58, 0.72), (3.62, 0.87), (2.98, 0.87)], "#8db4c9", _SOFT, 0.01)
    for side in (-1, 1):
        thumb = _disc(3.3 + side * 0.78, 0.8, 0.17, 0.07, side * -0.3)
        out += _shape(thumb, "#edc9ac", *_edge(hands))
    return out


def _no_flash() -> list[Item]:
    bolt = [(0.1, -0.3), (-0.16, 0.05), (-0.02, 0.05), (-0.1, 0.3), (0.16, -0.06), (0.02, -0.06)]
    at = [(5.0 + x, 1.68 + y) for x, y in bolt]
    ring = line_path(_disc(5.0, 1.68, 0.36, 0.36), closed=True)
    bar = line_path([(4.75, 1.43), (5.25, 1.93)])
    return [
        Fill(ring, Solid("#ffffff")),
        Fill(line_path(at, closed=True), Solid("#e0a100")),
        Stroke(ring, 0.05, _MARK),
        Stroke(bar, 0.05, _MARK),
    ]


def _number(k: int, x: float, y: float) -> list[Item]:
    ring = line_path(_disc(x, y, 0.19, 0.19), closed=True)
    text = text_items(str(k), x, y + 0.085, 15, font="Bold", anchor="middle", colour="#ffffff")
    return [Fill(ring, Solid(_MARK)), Stroke(ring, 0.025, "#ffffff"), *text]


def _lines(steps: Sequence[tuple[str, str]]) -> list[Item]:
    """What to do, line by line, and its number where the drawing shows it."""
    out: list[Item] = list(
        text_items("Please take the photo again", _TEXT_X, 0.5, 17, font="Semibold", colour=_INK)
    )
    y, taken = 1.05, dict.fromkeys(_BADGE, 0)
    for k, (part, todo) in enumerate(steps, 1):
        rows = wrap_text(todo[0].upper() + todo[1:] + ".", WIDTH - _TEXT_X - 0.65, 13)
        out += _number(k, _TEXT_X + 0.19, y - 0.07)
        out += text_items(rows, _TEXT_X + 0.55, y, 13, colour=_INK)
        bx, by = _BADGE[part]
        out += _number(k, bx + 0.42 * taken[part], by)
        taken[part] += 1
        y += 0.24 * len(rows) + 0.22
    return out


def with_drawing(sheet: Scene, faults: Sequence[PhotoFault]) -> Scene:
    """A sheet with the drawing below it, where the photo should be taken again."""
    drawing = photo_again(faults)
    if drawing is None:
        return sheet
    scale = (sheet.width - 0.7) / WIDTH
    line = path_of(rectangle(0.35, sheet.height, sheet.width - 0.7, 0.01))
    height = sheet.height + scale * HEIGHT + 0.3
    taller = replace(sheet, height=height).with_items(Fill(line, Solid(_SOFT)), label="line")
    return taller.with_scene(drawing, 0.35, sheet.height + 0.15, scale)
