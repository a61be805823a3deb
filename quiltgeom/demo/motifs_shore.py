"""Fish, shells, kelp, anchors, ropes: about one unit long."""

import itertools
import math

from quiltgeom.demo.pen import Pen, Point, table


def fish(pen: Pen, back: str, belly: str, fin: str, line: str) -> None:
    """A herring, head up at (0, -0.5), 1 unit long."""
    tail = "0,.3 -.17,.52 -.02,.44 .02,.44 .17,.52"
    pen.poly(tail).fill(fin).line(line, 0.012)
    for side, y in ((-1, -0.12), (1, 0.02)):
        side_fin = [(side * dx, y + dy) for dx, dy in table(".12,-.06 .25,.06 .2,.12 .1,.14")]
        pen.curve(side_fin, pull=0.7).fill(fin).line(line, 0.012)
    edge = (
        "0,-.5 .09,-.42 .15,-.22 .14,0 .06,.24 .03,.34 -.03,.34 -.06,.24 -.14,0 -.15,-.22 -.09,-.42"
    )
    pen.curve(edge).fill(belly)
    with pen.inside():
        pen.curve("-.3,-.6 .02,-.5 -.03,-.1 -.01,.4 -.3,.4").fill(back)
        for row in range(8):
            for k in range(-2, 3):
                x = (k + 0.5 * (row % 2)) * 0.062
                pen.arc(x, -0.24 + row * 0.066, 0.034, 0, 180).line(line, 0.009)
        pen.box(-0.3, -0.6, 0.6, 0.3).fill(back)
        pen.thread("-.2,-.28 0,-.24 .2,-.28").line(line, 0.018)
    pen.curve(edge).line(line, 0.014)
    pen.oval(0.045, -0.39, 0.028).fill(belly).line(line, 0.01)
    pen.oval(0.045, -0.39, 0.012).fill(line)


def scallop(pen: Pen, body: str, rib: str, line: str) -> None:
    """A scallop shell, 1 unit across, hinge down."""
    n = 9
    edge: list[Point] = [(-0.1, 0.42)]
    for i in range(n):
        t = math.radians(200 + i * 140 / (n - 1))
        edge.append((0.5 * math.cos(t), 0.36 + 0.80 * math.sin(t)))
        if i < n - 1:
            u = math.radians(200 + (i + 0.5) * 140 / (n - 1))
            edge.append((0.465 * math.cos(u), 0.36 + 0.745 * math.sin(u)))
    edge.append((0.1, 0.42))
    pen.poly("-.2,.46 -.16,.32 .16,.32 .2,.46").fill(rib).line(line, 0.02)
    pen.curve(edge, pull=0.8).fill(body)
    with pen.inside():
        for i in range(n):
            t = math.radians(200 + i * 140 / (n - 1))
            rays = [(0.52 * math.cos(u), 0.36 + 0.84 * math.sin(u)) for u in (t - 0.05, t + 0.05)]
            pen.poly([(0, 0.44), *rays]).fill(rib)
        for r in (0.34, 0.56):
            pen.arc(0, 0.42, r, 190, 350).line(line, 0.014, 0.7)
    pen.curve(edge, pull=0.8).line(line, 0.02)


def whelk(pen: Pen, body: str, band: str, line: str) -> None:
    """A spiral whelk, 1 unit high."""
    edge = (
        "0,-.5 .1,-.36 .17,-.22 .25,-.06 .27,.12 .16,.32 .06,.5 -.05,.48 -.12,.3 -.25,.14 "
        "-.25,-.05 -.16,-.22 -.09,-.37"
    )
    pen.curve(edge).fill(body)
    with pen.inside():
        for y, w in ((-0.33, 0.03), (-0.19, 0.045), (-0.02, 0.06)):
            pen.thread([(-0.3, y - 0.03), (0, y + 0.06), (0.3, y + 0.02)]).line(band, w)
            pen.thread([(-0.3, y + 0.02), (0, y + 0.1), (0.3, y + 0.06)]).line(line, 0.014)
    pen.curve(edge).line(line, 0.02)
    pen.curve("0,.14 .14,.08 .17,.2 .08,.38 .02,.46 -.04,.3").fill(band).line(line, 0.016)


def starfish(pen: Pen, body: str, dot: str, line: str) -> None:
    """A starfish, 1 unit across."""
    edge = []
    for i in range(5):
        for off, r in ((-8, 0.42), (0, 0.5), (8, 0.42), (36, 0.19)):
            t = math.radians(i * 72 - 90 + off)
            edge.append((r * math.cos(t), r * math.sin(t)))
    pen.curve(edge, pull=0.8).fill(body).line(line, 0.02)
    for i in range(5):
        t = math.radians(i * 72 - 90)
        for k in range(1, 6):
            r = 0.075 * k + 0.02
            pen.oval(r * math.cos(t), r * math.sin(t), 0.026 - 0.002 * k).fill(dot)
    pen.oval(0, 0, 0.035).fill(dot)


def anchor(pen: Pen, body: str, rope: str, line: str) -> None:
    """An anchor, 2 units high, with a turn of rope."""
    pen.oval(0, -0.84, 0.13).line(line, 0.13).line(body, 0.085)
    for ink, more in ((line, 0.045), (body, 0.0)):
        pen.polyline([(0, -0.7), (0, 0.8)]).line(ink, 0.12 + more)
        pen.polyline([(-0.36, -0.46), (0.36, -0.46)]).line(ink, 0.10 + more)
        pen.thread("-.66,.3 -.5,.66 0,.9 .5,.66 .66,.3").line(ink, 0.11 + more)
        for side in (-1, 1):
            pen.poly([(side * 0.72, 0.12), (side * 0.84, 0.42), (side * 0.5, 0.38)]).fill(ink).line(
                ink, more
            )
            pen.oval(side * 0.4, -0.46, 0.075 + more / 2).fill(ink)
    coil = table(".02,-.95 .32,-.78 .28,-.3 -.02,-.12 -.3,.1 -.14,.38 .14,.3 .3,.5 .28,.98")
    rope_along(pen, coil, 0.09, rope, line)


def rope_along(
    pen: Pen, points: list[Point], width: float, body: str, line: str, *, strands: int = 0
) -> None:
    """A laid rope along a smooth line; ``strands`` is how many show (0: as many as fit)."""
    pen.thread(points).line(line, width * 1.3).line(body, width)
    length = sum(math.dist(a, b) for a, b in itertools.pairwise(points))
    steps = strands or max(2, round(length / (width * 0.62)))
    for i in range(steps):
        t = (i + 0.5) / steps * (len(points) - 1)
        x, y, dx, dy = _spline(points, t)
        n = math.hypot(dx, dy) or 1
        dx, dy = dx / n * width * 0.5, dy / n * width * 0.5
        pen.thread(
            [(x - dy - dx * 0.7, y + dx - dy * 0.7), (x, y), (x + dy + dx * 0.7, y - dx + dy * 0.7)]
        ).line(line, width * 0.15)


def _spline(p: list[Point], t: float) -> tuple[float, float, float, float]:
    i = min(int(t), len(p) - 2)
    f = t - i
    a, b, c, d = (p[min(max(i + k, 0), len(p) - 1)] for k in (-1, 0, 1, 2))

    def one(q: int) -> tuple[float, float]:
        m, n = (c[q] - a[q]) / 2, (d[q] - b[q]) / 2
        k3, k2 = 2 * b[q] - 2 * c[q] + m + n, -3 * b[q] + 3 * c[q] - 2 * m - n
        return ((k3 * f + k2) * f + m) * f + b[q], (3 * k3 * f + 2 * k2) * f + m

    (x, dx), (y, dy) = one(0), one(1)
    return x, y, dx, dy


def kelp(pen: Pen, blade: str, shade: str, line: str, *, high: float, sway: float) -> None:
    """A frond of kelp from (0, 0) up to -high, with blades left and right."""
    bends = [(sway, -high * 0.25), (-sway * 0.7, -high * 0.5), (sway * 0.6, -high * 0.75)]
    stem = [(0.0, 0.0), *bends, (0.0, -high)]
    count = round(high / 0.17)
    for i in range(count):
        t = 0.15 + i / count * 3.7
        x, y, _, _ = _spline(stem, t)
        side = 1 if i % 2 else -1
        long = 0.86 - 0.42 * (i / count)
        with pen.at(x, y, long, -90 + side * (46 - 14 * i / count)):
            edge = "0,0 .28,-.17 .52,-.09 .78,-.14 1.05,.02 .74,.11 .5,.19 .25,.12"
            pen.curve(edge).fill(blade if i % 3 else shade).line(line, 0.024)
            pen.thread(".05,0 .4,.02 .85,0").line(line, 0.022)
        pen.oval(x + side * 0.05, y - 0.02, 0.05).fill(shade).line(line, 0.014)
    pen.thread(stem).line(line, 0.055)


def buoy(pen: Pen, body: str, band: str, line: str) -> None:
    """A net float on its stick, 1.4 units high."""
    pen.polyline([(0, -0.7), (0, 0.7)]).line(line, 0.06)
    edge = "0,-.42 .16,-.36 .2,0 .14,.36 0,.44 -.14,.36 -.2,0 -.16,-.36"
    pen.curve(edge, pull=0.9).fill(body)
    with pen.inside():
        pen.box(-0.4, -0.16, 0.8, 0.16).fill(band)
        pen.box(-0.4, 0.14, 0.8, 0.1).fill(band)
        pen.box(0.09, -0.6, 0.3, 1.2).fill(line, 0.18)
    pen.curve(edge, pull=0.9).line(line, 0.026)
    pen.oval(0, 0.62, 0.07).line(line, 0.035)


def crab(pen: Pen, body: str, shade: str, line: str) -> None:
    """A crab seen from above, 1.3 units across."""
    for side in (-1, 1):
        for i in range(4):
            y = -0.02 + i * 0.1
            leg = [(side * 0.28, y), (side * 0.5, y - 0.06 + i * 0.05)]
            leg.append((side * (0.66 - i * 0.06), y + 0.1 + i * 0.06))
            pen.thread(leg).line(line, 0.075).line(body, 0.045)
        pen.thread([(side * 0.28, -0.14), (side * 0.5, -0.24), (side * 0.5, -0.42)]).line(
            line, 0.1
        ).line(body, 0.065)
        claw = table(".46,-.36 .6,-.5 .56,-.74 .47,-.52 .36,-.7 .36,-.46")
        pen.curve([(side * x, y) for x, y in claw], pull=0.8).fill(body).line(line, 0.022)
        pen.polyline([(side * 0.1, -0.2), (side * 0.12, -0.34)]).line(line, 0.03)
        pen.oval(side * 0.12, -0.35, 0.035).fill(line)
    shell = "-.38,-.05 -.22,-.22 0,-.25 .22,-.22 .38,-.05 .28,.22 0,.33 -.28,.22"
    pen.curve(shell).fill(body).line(line, 0.026)
    for x, y in ((-0.16, -0.05), (0.16, -0.05), (0, 0.04), (-0.1, 0.16), (0.1, 0.16)):
        pen.oval(x, y, 0.035).fill(shade)
