"""Herons, gulls, reeds, feathers: up is -y."""

import math

from quiltgeom.demo.pen import Pen, Point, table


def heron(
    pen: Pen, body: str, wing: str, pale: str, line: str, bill: str, *, stoop: bool = False
) -> None:
    """A grey heron, about 5 units high, feet at y = 0, looking to the right.

    ``stoop`` draws the neck drawn in instead of stretched.
    """
    for x, knee, foot in ((0.02, 0.16, 0.02), (-0.28, -0.06, -0.2)):
        pen.polyline([(x, -1.7), (knee, -0.85), (foot, -0.02)]).line(bill, 0.065)
        for toe in (-0.2, 0.06, 0.28):
            pen.thread([(foot, -0.04), (foot + toe * 0.6, -0.03), (foot + toe, 0.03)]).line(
                bill, 0.045
            )
    neck = table(".42,-2.5 .72,-2.85 .62,-3.25 .28,-3.7 .3,-4.25 .62,-4.55")
    if stoop:
        neck = table(".4,-2.5 .78,-2.6 .8,-2.95 .46,-3.2 .42,-3.5 .7,-3.72")
    pen.thread(neck).line(line, 0.36)
    pen.thread(neck).line(pale, 0.30)
    trunk = (
        ".66,-2.72 .62,-2.2 .24,-1.72 -.3,-1.56 -.95,-1.42 -1.42,-1.12 -1.3,-1.5 -.9,-2.02 "
        "-.3,-2.5 .3,-2.86"
    )
    pen.curve(trunk, pull=0.9).fill(body).line(line, 0.035)
    _wing(pen, wing, pale, line)
    for i in range(4):  # plumes on the breast
        x = 0.5 - i * 0.07
        pen.thread([(x, -2.55), (x + 0.1, -2.1), (x - 0.02, -1.72 + i * 0.05)]).line(pale, 0.05)
    pen.thread(neck[:3]).line(pale, 0.30)
    for i in range(5):  # dashes down the front of the neck
        t = (i + 0.5) / 5 * (len(neck) - 2)
        x, y = _along(neck, t)
        pen.polyline([(x + 0.07, y), (x + 0.08, y + 0.16)]).line(line, 0.035)
    _head(pen, neck[-1], body, pale, line, bill)


def _along(points: list[Point], t: float) -> Point:
    i = min(int(t), len(points) - 2)
    f = t - i
    (ax, ay), (bx, by) = points[i], points[i + 1]
    return ax + (bx - ax) * f, ay + (by - ay) * f


def _wing(pen: Pen, wing: str, pale: str, line: str) -> None:
    edge = ".3,-2.62 .2,-2.2 -.3,-1.84 -.9,-1.5 -1.5,-1.02 -1.22,-1.56 -.82,-2.1 -.3,-2.5 .1,-2.72"
    pen.curve(edge).fill(wing)
    with pen.inside():
        for i in range(6):
            barb = [(0.24 - i * 0.13, -2.66 + i * 0.1), (-0.35 - i * 0.1, -2.1 + i * 0.09)]
            pen.thread([*barb, (-1.0 - i * 0.07, -1.62 + i * 0.13)]).line(pale, 0.04)
        for i in range(5):
            barb = [(0.14 - i * 0.16, -2.3 + i * 0.12), (-0.1 - i * 0.16, -2.12 + i * 0.12)]
            pen.thread([*barb, (-0.3 - i * 0.18, -2.08 + i * 0.13)]).line(line, 0.03)
    pen.curve(edge).line(line, 0.035)


def _head(pen: Pen, at: Point, body: str, pale: str, line: str, bill: str) -> None:
    with pen.at(*at):
        pen.poly(".2,-.12 1.12,.14 .2,.1").fill(bill).line(line, 0.025)
        pen.polyline([(0.24, 0.0), (0.9, 0.09)]).line(line, 0.02)
        for drop in (0.0, 0.13):
            pen.thread([(0.05, -0.17), (-0.35, -0.2 + drop), (-0.85, 0.1 + drop)]).line(
                line, 0.06 - drop * 0.15
            )
        pen.curve("-.2,.12 -.2,-.1 .02,-.22 .28,-.14 .36,0 .2,.12 0,.17").fill(pale).line(
            line, 0.03
        )
        pen.curve("-.2,-.02 -.1,-.19 .1,-.22 .26,-.12 .05,-.1").fill(line)
        pen.oval(0.17, -0.04, 0.04).fill(line)


def reed(pen: Pen, colour: str, *, high: float, lean: float) -> None:
    """One blade from (0, 0) up, leaning over by ``lean``."""
    tip = (lean, -high)
    wide = 0.06
    back, front = (-wide + lean * 0.1, -high * 0.45), (wide + lean * 0.16, -high * 0.42)
    pen.curve([(-wide, 0), back, tip, front, (wide, 0)], pull=0.8).fill(colour)


def bulrush(pen: Pen, stem: str, head: str, line: str, *, high: float, lean: float) -> None:
    """A bulrush with its brown head."""
    pen.thread([(0, 0), (lean * 0.25, -high * 0.5), (lean, -high)]).line(stem, 0.05)
    turn = math.degrees(math.atan2(lean * 0.75, high * 0.5))
    with pen.at(lean, -high, turn=turn):
        pen.polyline([(0, -0.55), (0, 0)]).line(stem, 0.035)
        pen.curve("0,.5 -.11,.4 -.11,-.1 0,-.22 .11,-.1 .11,.4", pull=0.8).fill(head).line(
            line, 0.024
        )


def gull(
    pen: Pen, body: str, wing: str, tip: str, bill: str, line: str, *, beat: float = 0.0
) -> None:
    """A gull gliding to the right, wings 2 units across; ``beat`` (-1 .. 1) lowers the wings."""
    y = 0.3 * beat
    rising = table("0,.1,-.08 1,.26,-.42 1,.62,-.62 1.6,1.12,-.5 1,.7,-.42 .5,.42,-.2 0,.3,0")
    far = [(px, py + y * rise) for rise, px, py in rising]
    pen.curve(far, pull=0.8).fill(wing)
    with pen.inside():
        pen.box(0.84, -2, 1, 4).fill(tip)
    pen.curve(far, pull=0.8).line(line, 0.022)
    pen.curve("-.5,.1 -.72,.02 -.78,.16 -.68,.22 -.3,.18", pull=0.6).fill(body).line(line, 0.02)
    trunk = "-.5,.13 -.1,-.06 .3,-.1 .46,-.16 .6,-.08 .56,.05 .36,.14 0,.22 -.3,.2"
    pen.poly(".56,-.07 .76,0 .56,.04").fill(bill).line(line, 0.016)
    pen.curve(trunk, pull=0.9).fill(body).line(line, 0.022)
    pen.oval(0.5, -0.055, 0.022).fill(line)
    rising = table(
        "0,.22,.02 1,.06,-.38 1,-.26,-.66 1.7,-.98,-.62 1,-.5,-.46 .6,-.26,-.22 0,-.22,.07"
    )
    near = [(px, py + y * rise) for rise, px, py in rising]
    pen.curve(near, pull=0.8).fill(wing)
    with pen.inside():
        pen.box(-1.6, -2, 0.92, 4).fill(tip)
        pen.thread([(-0.9, -0.53 + y * 1.7), (-0.4, -0.44 + y), (-0.12, -0.16 + y * 0.6)]).line(
            body, 0.05
        )
    pen.curve(near, pull=0.8).line(line, 0.022)


def feather(pen: Pen, vane: str, tip: str, shaft: str) -> None:
    """A feather from (0, 1) up to (0, -1)."""
    edge = "0,.62 -.2,.4 -.25,-.2 -.14,-.75 .03,-1 .16,-.7 .23,-.2 .19,.36"
    pen.curve(edge).fill(vane)
    with pen.inside():
        pen.curve("-.4,-.42 0,-.3 .4,-.42 .4,-1.2 -.4,-1.2", pull=0.5).fill(tip)
        pen.thread("-.4,-.18 0,-.06 .4,-.18").line(tip, 0.07)
        for i in range(16):
            y = 0.62 - i * 0.1
            for side in (-1, 1):
                pen.thread([(0, y), (side * 0.12, y - 0.1), (side * 0.3, y - 0.14)]).line(
                    shaft, 0.012
                )
        for side, y in ((-1, 0.12), (1, -0.02)):  # splits in the vane
            gap = [(side * 0.3, y - 0.13), (side * 0.08, y - 0.03), (side * 0.3, y - 0.05)]
            pen.poly(gap).fill(tip, 0.9)
    pen.thread(".02,1 -.01,.3 .03,-.9").line(shaft, 0.035)
