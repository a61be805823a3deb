"""Lemons, leaves, blossom and sprigs from the market: about one unit long."""

import math

from quiltgeom.demo.pen import Pen


def lemon(pen: Pen, skin: str, shade: str, light: str, line: str) -> None:
    """A whole lemon lying along x, 1 unit long."""
    edge = (
        "-.52,0 -.44,-.07 -.34,-.2 -.1,-.31 .14,-.3 .34,-.18 .43,-.075 .53,-.03 .52,.05 "
        ".42,.09 .32,.2 .12,.31 -.12,.31 -.34,.2 -.44,.08"
    )
    pen.curve(edge).fill(skin)
    with pen.inside():
        pen.curve("-.5,.05 -.2,.19 .15,.17 .42,-.02 .7,.1 .3,.5 -.4,.5").fill(shade)
        pen.curve("-.3,-.12 -.12,-.23 .1,-.24 0,-.17 -.16,-.12").fill(light)
        for i in range(14):  # pores
            x = -0.3 + (i * 0.618 % 1) * 0.62
            y = -0.1 + (i * 0.7548 % 1) * 0.28
            pen.oval(x, y, 0.011).fill(shade if y < 0.1 else skin)
    pen.curve(edge).line(line, 0.018)
    pen.oval(-0.52, 0.005, 0.035, 0.045).fill(line)


def lemon_slice(pen: Pen, skin: str, pith: str, flesh: str, pale: str) -> None:
    """A round slice, 0.8 units across."""
    pen.oval(0, 0, 0.4).fill(skin)
    pen.oval(0, 0, 0.355).fill(pith)
    for i in range(9):
        with pen.at(0, 0, turn=i * 40):
            pen.curve(".03,0 .2,-.085 .3,-.09 .325,0 .3,.09 .2,.085", pull=0.8).fill(flesh)
            pen.polyline([(0.12, 0.0), (0.26, -0.04)]).line(pale, 0.016)
            pen.polyline([(0.18, 0.035), (0.27, 0.035)]).line(pale, 0.016)
    pen.oval(0, 0, 0.03).fill(pith)


def leaf(pen: Pen, face: str, shade: str, vein: str, *, wide: float = 0.2) -> None:
    """A leaf from (0, 0) along x to (1, 0)."""
    upper = [(0, 0), (0.22, -wide * 0.85), (0.5, -wide), (0.8, -wide * 0.55), (1, 0)]
    lower = [(0.78, wide * 0.62), (0.48, wide), (0.2, wide * 0.8)]
    pen.curve(upper + lower, pull=0.9).fill(face)
    with pen.inside():
        pen.curve([(0, 0), (0.5, 0.02), (1, 0), (0.8, wide * 2), (0.2, wide * 2)], pull=0.5).fill(
            shade
        )
        for i in range(5):
            x = 0.16 + i * 0.15
            for side in (-1, 1):
                pen.thread([(x, 0), (x + 0.08, side * wide * 0.45), (x + 0.2, side * wide)]).line(
                    vein, 0.013
                )
    pen.thread("-.08,.01 .5,.015 .96,0").line(vein, 0.022)


def blossom(pen: Pen, petal: str, shade: str, heart: str) -> None:
    """A five-petalled blossom, 0.8 units across."""
    for i in range(5):
        with pen.at(0, 0, turn=i * 72 - 90):
            pen.curve(".05,-.03 .22,-.15 .38,-.09 .42,0 .38,.09 .22,.15 .05,.03").fill(petal).line(
                shade, 0.018
            )
            pen.polyline([(0.08, 0), (0.24, 0)]).line(shade, 0.02)
    for i in range(7):
        t = math.radians(i * 360 / 7)
        pen.oval(0.1 * math.cos(t), 0.1 * math.sin(t), 0.028).fill(heart)
    pen.oval(0, 0, 0.05).fill(heart)


def sprig(pen: Pen, stem: str, leaf_ink: str, berry: str) -> None:
    """A tiny sprig, 1 unit high, growing up from (0, 0.5)."""
    pen.thread("0,.5 .03,.1 0,-.35").line(stem, 0.05)
    for y, side in ((0.25, -1), (0.12, 1), (-0.08, -1), (-0.18, 1)):
        with pen.at(0.01, y, turn=-90 + side * 48):
            pen.curve("0,0 .16,-.08 .34,0 .16,.08", pull=0.8).fill(leaf_ink)
    for x, y in ((0, -0.42), (-0.13, -0.32), (0.13, -0.32)):
        pen.oval(x, y, 0.075).fill(berry)
