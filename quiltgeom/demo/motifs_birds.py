"""Herons, gulls, reeds, feathers: up is -y."""

from __future__ import annotations

import math

from quiltgeom.demo.pen import Pen, Point

__all__ = ["bulrush", "feather", "gull", "heron", "reed"]


def heron(
    pen: Pen, body: str, wing: str, pale: str, line: str, bill: str, *, stoop: bool = False
) -> None:
    """A grey heron, about 5 units high, feet at y = 0, looking to the right.

    ``stoop`` draws the neck drawn in instead of stretched.
    """
    for x, knee, foot in ((0.02, 0.16, 0.02), (-0.28, -0.06, -0.2)):
        pen.poly([(x, -1.7), (knee, -0.85), (foot, -0.02)], closed=False).line(bill, 0.065)
        for toe in (-0.2, 0.06, 0.28):
            pen.curve(
                [(foot, -0.04), (foot + toe * 0.6, -0.03), (foot + toe, 0.03)], closed=False
            ).line(bill, 0.045)
    neck = [(0.42, -2.5), (0.72, -2.85), (0.62, -3.25), (0.28, -3.7), (0.3, -4.25), (0.62, -4.55)]
    if stoop:
        neck = [(0.4, -2.5), (0.78, -2.6), (0.8, -2.95), (0.46, -3.2), (0.42, -3.5), (0.7, -3.72)]
    pen.curve(neck, closed=False).line(line, 0.36)
    pen.curve(neck, closed=False).line(pale, 0.30)
    trunk = [
        (0.66, -2.72),
        (0.62, -2.2),
        (0.24, -1.72),
        (-0.3, -1.56),
        (-0.95, -1.42),
        (-1.42, -1.12),
        (-1.3, -1.5),
        (-0.9, -2.02),
        (-0.3, -2.5),
        (0.3, -2.86),
    ]
    pen.curve(trunk, pull=0.9).fill(body).line(line, 0.035)
    _wing(pen, wing, pale, line)
    for i in range(4):  # plumes on the breast
        x = 0.5 - i * 0.07
        pen.curve([(x, -2.55), (x + 0.1, -2.1), (x - 0.02, -1.72 + i * 0.05)], closed=False).line(
            pale, 0.05
        )
    pen.curve(neck[:3], closed=False).line(pale, 0.30)
    for i in range(5):  # dashes down the front of the neck
        t = (i + 0.5) / 5 * (len(neck) - 2)
        x, y = _along(neck, t)
        pen.poly([(x + 0.07, y), (x + 0.08, y + 0.16)], closed=False).line(line, 0.035)
    _head(pen, neck[-1], body, pale, line, bill)


def _along(points: list[Point], t: float) -> Point:
    i = min(int(t), len(points) - 2)
    f = t - i
    (ax, ay), (bx, by) = points[i], points[i + 1]
    return ax + (bx - ax) * f, ay + (by - ay) * f


def _wing(pen: Pen, wing: str, pale: str, line: str) -> None:
    edge = [
        (0.3, -2.62),
        (0.2, -2.2),
        (-0.3, -1.84),
        (-0.9, -1.5),
        (-1.5, -1.02),
        (-1.22, -1.56),
        (-0.82, -2.1),
        (-0.3, -2.5),
        (0.1, -2.72),
    ]
    pen.curve(edge).fill(wing)
    with pen.inside():
        for i in range(6):
            pen.curve(
                [
                    (0.24 - i * 0.13, -2.66 + i * 0.1),
                    (-0.35 - i * 0.1, -2.1 + i * 0.09),
                    (-1.0 - i * 0.07, -1.62 + i * 0.13),
                ],
                closed=False,
            ).line(pale, 0.04)
        for i in range(5):
            pen.curve(
                [
                    (0.14 - i * 0.16, -2.3 + i * 0.12),
                    (-0.1 - i * 0.16, -2.12 + i * 0.12),
                    (-0.3 - i * 0.18, -2.08 + i * 0.13),
                ],
                closed=False,
            ).line(line, 0.03)
    pen.curve(edge).line(line, 0.035)


def _head(pen: Pen, at: Point, body: str, pale: str, line: str, bill: str) -> None:
    with pen.at(*at):
        pen.poly([(0.2, -0.12), (1.12, 0.14), (0.2, 0.1)]).fill(bill).line(line, 0.025)
        pen.poly([(0.24, 0.0), (0.9, 0.09)], closed=False).line(line, 0.02)
        for drop in (0.0, 0.13):
            pen.curve(
                [(0.05, -0.17), (-0.35, -0.2 + drop), (-0.85, 0.1 + drop)], closed=False
            ).line(line, 0.06 - drop * 0.15)
        pen.curve(
            [
                (-0.2, 0.12),
                (-0.2, -0.1),
                (0.02, -0.22),
                (0.28, -0.14),
                (0.36, 0.0),
                (0.2, 0.12),
                (0, 0.17),
            ]
        ).fill(pale).line(line, 0.03)
        pen.curve([(-0.2, -0.02), (-0.1, -0.19), (0.1, -0.22), (0.26, -0.12), (0.05, -0.1)]).fill(
            line
        )
        pen.oval(0.17, -0.04, 0.04).fill(line)


def reed(pen: Pen, colour: str, *, high: float, lean: float, width: float = 0.12) -> None:
    """One blade from (0, 0) up, leaning over by ``lean``."""
    tip = (lean, -high)
    pen.curve(
        [
            (-width / 2, 0),
            (-width * 0.5 + lean * 0.1, -high * 0.45),
            tip,
            (width * 0.5 + lean * 0.16, -high * 0.42),
            (width / 2, 0),
        ],
        pull=0.8,
    ).fill(colour)


def bulrush(pen: Pen, stem: str, head: str, line: str, *, high: float, lean: float) -> None:
    """A bulrush with its brown head."""
    pen.curve([(0, 0), (lean * 0.25, -high * 0.5), (lean, -high)], closed=False).line(stem, 0.05)
    turn = math.degrees(math.atan2(lean * 0.75, high * 0.5))
    with pen.at(lean, -high, turn=turn):
        pen.poly([(0, -0.55), (0, 0)], closed=False).line(stem, 0.035)
        pen.curve(
            [(0, 0.5), (-0.11, 0.4), (-0.11, -0.1), (0, -0.22), (0.11, -0.1), (0.11, 0.4)], pull=0.8
        ).fill(head).line(line, 0.024)


def gull(
    pen: Pen, body: str, wing: str, tip: str, bill: str, line: str, *, beat: float = 0.0
) -> None:
    """A gull gliding to the right, wings 2 units across; ``beat`` (-1 .. 1) lowers the wings."""
    y = 0.3 * beat
    far = [
        (0.1, -0.08),
        (0.26, -0.42 + y),
        (0.62, -0.62 + y),
        (1.12, -0.5 + y * 1.6),
        (0.7, -0.42 + y),
        (0.42, -0.2 + y * 0.5),
        (0.3, 0.0),
    ]
    pen.curve(far, pull=0.8).fill(wing)
    with pen.inside():
        pen.box(0.84, -2, 1, 4).fill(tip)
    pen.curve(far, pull=0.8).line(line, 0.022)
    pen.curve(
        [(-0.5, 0.1), (-0.72, 0.02), (-0.78, 0.16), (-0.68, 0.22), (-0.3, 0.18)], pull=0.6
    ).fill(body).line(line, 0.02)
    trunk = [
        (-0.5, 0.13),
        (-0.1, -0.06),
        (0.3, -0.1),
        (0.46, -0.16),
        (0.6, -0.08),
        (0.56, 0.05),
        (0.36, 0.14),
        (0.0, 0.22),
        (-0.3, 0.2),
    ]
    pen.poly([(0.56, -0.07), (0.76, 0.0), (0.56, 0.04)]).fill(bill).line(line, 0.016)
    pen.curve(trunk, pull=0.9).fill(body).line(line, 0.022)
    pen.oval(0.5, -0.055, 0.022).fill(line)
    near = [
        (0.22, 0.02),
        (0.06, -0.38 + y),
        (-0.26, -0.66 + y),
        (-0.98, -0.62 + y * 1.7),
        (-0.5, -0.46 + y),
        (-0.26, -0.22 + y * 0.6),
        (-0.22, 0.07),
    ]
    pen.curve(near, pull=0.8).fill(wing)
    with pen.inside():
        pen.box(-1.6, -2, 0.92, 4).fill(tip)
        pen.curve(
            [(-0.9, -0.53 + y * 1.7), (-0.4, -0.44 + y), (-0.12, -0.16 + y * 0.6)], closed=False
        ).line(body, 0.05)
    pen.curve(near, pull=0.8).line(line, 0.022)


def feather(pen: Pen, vane: str, tip: str, shaft: str) -> None:
    """A feather from (0, 1) up to (0, -1)."""
    edge = [
        (0.0, 0.62),
        (-0.2, 0.4),
        (-0.25, -0.2),
        (-0.14, -0.75),
        (0.03, -1.0),
        (0.16, -0.7),
        (0.23, -0.2),
        (0.19, 0.36),
    ]
    pen.curve(edge).fill(vane)
    with pen.inside():
        pen.curve(
            [(-0.4, -0.42), (0, -0.3), (0.4, -0.42), (0.4, -1.2), (-0.4, -1.2)], pull=0.5
        ).fill(tip)
        pen.curve([(-0.4, -0.18), (0, -0.06), (0.4, -0.18)], closed=False).line(tip, 0.07)
        for i in range(16):
            y = 0.62 - i * 0.1
            for side in (-1, 1):
                pen.curve(
                    [(0, y), (side * 0.12, y - 0.1), (side * 0.3, y - 0.14)], closed=False
                ).line(shaft, 0.012)
        for side, y in ((-1, 0.12), (1, -0.02)):  # splits in the vane
            gap = [(side * 0.3, y - 0.13), (side * 0.08, y - 0.03), (side * 0.3, y - 0.05)]
            pen.poly(gap).fill(tip, 0.9)
    pen.curve([(0.02, 1.0), (-0.01, 0.3), (0.03, -0.9)], closed=False).line(shaft, 0.035)
