"""Lighthouse, houses, boats, clouds: about one unit wide, standing on y = 0, up is -y."""

from quiltgeom.demo.pen import Pen, table


def lighthouse(pen: Pen, wall: str, band: str, line: str, glow: str) -> None:
    """A banded tower 3 units high."""

    def half(y: float) -> float:
        return 0.42 + (y + 0.0) * 0.075  # y is negative upwards: the tower tapers

    tower = [(-half(0), 0), (-half(-2.2), -2.2), (half(-2.2), -2.2), (half(0), 0)]
    pen.poly(tower).fill(wall)
    with pen.inside():
        for low, high in ((-0.55, -0.05), (-1.45, -0.98), (-2.2, -1.82)):
            pen.box(-0.6, low, 1.2, high - low).fill(band)
        pen.poly(".12,.1 .07,-2.3 .6,-2.3 .6,.1").fill(line, 0.20)
    pen.poly(tower).line(line, 0.028)
    for y in (-0.8, -1.62):
        pen.box(-0.055, y, 0.11, 0.17).fill(line)
    pen.curve("-.1,0 -.1,-.28 0,-.38 .1,-.28 .1,0", pull=0.7).fill(line)
    _lantern(pen, wall, band, line, glow)


def _lantern(pen: Pen, wall: str, band: str, line: str, glow: str) -> None:
    pen.poly("-.4,-2.2 -.34,-2.29 .34,-2.29 .4,-2.2").fill(wall).line(line, 0.026)
    for i in range(7):
        x = -0.33 + i * 0.11
        pen.polyline([(x, -2.29), (x, -2.45)]).line(line, 0.016)
    pen.polyline([(-0.35, -2.45), (0.35, -2.45)]).line(line, 0.022)
    pen.box(-0.19, -2.72, 0.38, 0.43).fill(glow).line(line, 0.026)
    for x in (-0.065, 0.065):
        pen.polyline([(x, -2.72), (x, -2.29)]).line(line, 0.016)
    pen.thread("-.25,-2.72 -.2,-2.84 0,-2.96 .2,-2.84 .25,-2.72").fill(band).line(line, 0.026)
    pen.polyline([(-0.25, -2.72), (0.25, -2.72)]).line(line, 0.026)
    pen.polyline([(0, -2.96), (0, -3.14)]).line(line, 0.024)
    pen.oval(0, -2.99, 0.045).fill(line)


def house(
    pen: Pen, wall: str, roof: str, line: str, pane: str, *, wide: float = 1.0, floors: int = 2
) -> None:
    """A gabled harbour house seen from its front."""
    high = 0.45 + 0.42 * floors
    half = wide / 2
    pen.box(half - 0.34, -high - 0.62, 0.16, 0.5).fill(wall).line(line, 0.026)
    front = [(-half, 0), (-half, -high), (0, -high - 0.48), (half, -high), (half, 0)]
    pen.poly(front).fill(wall).line(line, 0.03)
    with pen.inside():
        pen.box(half - 0.14, -3, 0.2, 3).fill(line, 0.16)
    w, eaves = half + 0.1, -high - 0.09
    top = [(-w, -high + 0.05), (0, -high - 0.56), (w, -high + 0.05)]
    pen.poly([*top, (w, eaves), (0, -high - 0.70), (-w, eaves)]).fill(roof).line(line, 0.026)
    for floor in range(floors):
        y = -0.52 - 0.44 * floor - 0.1
        for side in (-1, 1):
            if floor or side < 0:
                _window(pen, side * half * 0.46, y - 0.22, pane, line)
    pen.box(half * 0.46 - 0.11, -0.46, 0.22, 0.46).fill(roof).line(line, 0.024)
    pen.oval(0, -high - 0.16, 0.085).fill(pane).line(line, 0.022)


def _window(pen: Pen, x: float, y: float, pane: str, line: str) -> None:
    pen.box(x - 0.11, y, 0.22, 0.27).fill(pane).line(line, 0.022)
    pen.polyline([(x, y), (x, y + 0.27)]).line(line, 0.014)
    pen.polyline([(x - 0.11, y + 0.13), (x + 0.11, y + 0.13)]).line(line, 0.014)


def church(pen: Pen, wall: str, roof: str, line: str, pane: str) -> None:
    """A small chapel with a spire."""
    pen.box(-0.95, -0.75, 1.3, 0.75).fill(wall).line(line, 0.03)
    pen.poly("-1.05,-.72 -.88,-1.2 .4,-1.2 .4,-.72").fill(roof).line(line, 0.03)
    for x in (-0.7, -0.32):
        arch = [(x + dx, y) for dx, y in table("-.08,-.15 -.08,-.42 0,-.54 .08,-.42 .08,-.15")]
        pen.curve(arch, pull=0.7).fill(pane).line(line, 0.02)
    pen.box(0.1, -1.55, 0.55, 1.55).fill(wall).line(line, 0.03)
    pen.poly(".03,-1.55 .375,-2.45 .72,-1.55").fill(roof).line(line, 0.03)
    pen.polyline([(0.375, -2.45), (0.375, -2.68)]).line(line, 0.024)
    pen.oval(0.375, -1.2, 0.13).fill(pane).line(line, 0.022)
    pen.curve(".26,0 .26,-.35 .375,-.48 .49,-.35 .49,0", pull=0.7).fill(roof).line(line, 0.022)


def sail_boat(pen: Pen, hull: str, sail: str, stripe: str, line: str) -> None:
    """A gaff dinghy, 2 units long, mast 2.1 high."""
    pen.polyline([(-0.05, -0.2), (-0.05, -2.2)]).line(line, 0.05)
    main = "-.12,-.42 -.5,-.44 -.98,-.42 -.92,-1.1 -.62,-2 -.3,-1.75 -.12,-1.5"
    pen.curve(main, pull=0.45).fill(sail)
    with pen.inside():
        for y in (-0.95, -1.45):
            pen.poly([(-1.2, y + 0.06), (0, y), (0, y - 0.17), (-1.2, y - 0.11)]).fill(stripe)
    pen.curve(main, pull=0.45).line(line, 0.028)
    jib = ".05,-1.95 .28,-1.2 .9,-.42 .45,-.46 .06,-.5"
    pen.curve(jib, pull=0.4).fill(sail).line(line, 0.028)
    pen.curve("-.05,-2.2 .12,-2.26 .22,-2.16 .36,-2.2 .3,-2.1 .12,-2.06 -.05,-2.08", pull=0.6).fill(
        stripe
    ).line(line, 0.02)
    body = "-1.05,-.3 0,-.22 1.12,-.36 .95,-.1 .7,.1 -.75,.1 -.98,-.08"
    pen.curve(body, pull=0.5).fill(hull).line(line, 0.03)
    with pen.inside():
        pen.thread("-1.2,-.2 0,-.11 1.2,-.25").line(sail, 0.045)


def fishing_boat(pen: Pen, hull: str, cabin: str, stripe: str, line: str) -> None:
    """A small trawler, 2.4 units long."""
    pen.polyline([(0.3, -0.4), (0.3, -1.75)]).line(line, 0.045)
    pen.polyline([(0.3, -1.65), (1.25, -0.52)]).line(line, 0.016)
    pen.polyline([(0.3, -1.65), (-1.1, -0.5)]).line(line, 0.016)
    pen.polyline([(0.32, -0.62), (0.95, -1.3)]).line(line, 0.035)
    for i, x in enumerate((-0.85, -0.55, 0.62, 0.86)):
        t = (0.3 - x) / 1.4 if x < 0.3 else (x - 0.3) / 0.95
        y = -1.65 + t * 1.14
        pen.poly([(x - 0.07, y), (x + 0.07, y), (x, y + 0.17)]).fill(
            stripe if i % 2 else cabin
        ).line(line, 0.014)
    pen.box(-0.72, -0.95, 0.72, 0.62).fill(cabin).line(line, 0.028)
    pen.poly("-.8,-.95 -.76,-1.06 .06,-1.06 .1,-.95").fill(stripe).line(line, 0.026)
    for x in (-0.62, -0.28):
        pen.box(x, -0.83, 0.2, 0.22).fill(line)
    body = "-1.18,-.42 -.3,-.3 .5,-.34 1.35,-.62 1.12,-.15 .88,.12 -.95,.12 -1.12,-.1"
    pen.curve(body, pull=0.5).fill(hull).line(line, 0.03)
    with pen.inside():
        pen.thread("-1.3,-.28 -.3,-.17 .5,-.2 1.4,-.46").line(cabin, 0.05)
        pen.box(-1.4, -0.01, 2.8, 0.2).fill(stripe)
    pen.curve(body, pull=0.5).line(line, 0.03)


def cloud(pen: Pen, body: str, line: str) -> None:
    """A flat-bottomed cloud, 2 units wide."""
    pen.curve(
        "-1,0 -.92,-.2 -.62,-.24 -.5,-.5 -.12,-.56 .06,-.38 .36,-.46 .56,-.24 .86,-.2 1,0 "
        ".5,.05 -.5,.05",
        pull=0.95,
    ).fill(body)
    with pen.inside():
        for i, y in enumerate((-0.1, -0.2)):
            pen.thread([(-0.7 + i * 0.4, y), (-0.2, y - 0.03), (0.3 + i * 0.2, y)]).line(
                line, 0.025, 0.6
            )


def rock(pen: Pen, body: str, shade: str, line: str, *, wide: float, high: float) -> None:
    """A headland: flat top at -high, foot in the water at 0."""
    w = wide / 2
    slope = table("-.93,.42 -.72,.6 -.6,.95 -.3,1 .25,.98 .5,.8 .68,.5 .92,.36")
    edge = [(-w, 0.06), *((w * x, -high * y) for x, y in slope), (w, 0.06)]
    pen.curve(edge, pull=0.5).fill(body)
    with pen.inside():
        for i in range(7):
            x = -w * 0.75 + i * w * 0.26
            flank = [(x, -high * 0.55), (x + 0.1, -high * 0.3), (x + 0.02, -high * 0.1)]
            pen.curve(
                [*flank, (x + 0.16, 0.1), (x + 0.34, 0.1), (x + 0.22, -high * 0.25)], pull=0.7
            ).fill(shade, 0.22)
        for i in range(6):
            x, y = -w * 0.6 + i * w * 0.24, -high * (0.25 + 0.2 * (i % 3))
            pen.thread([(x, y), (x + 0.2, y - 0.03), (x + 0.34, y + 0.05)]).line(line, 0.024)
    pen.curve(edge, pull=0.5).line(line, 0.03)


def tree(pen: Pen, leaf: str, shade: str, line: str) -> None:
    """A windswept round tree, 1 unit high."""
    pen.thread("0,0 .02,-.3 .08,-.55").line(line, 0.07)
    crown = "-.3,-.42 -.36,-.66 -.1,-.95 .28,-.98 .5,-.72 .4,-.45 .05,-.36"
    pen.curve(crown).fill(leaf)
    with pen.inside():
        pen.oval(0.32, -0.5, 0.3, 0.3).fill(shade)
        for x, y in ((-0.15, -0.7), (0.05, -0.82), (-0.1, -0.52), (0.14, -0.62)):
            pen.arc(x, y, 0.07, 180, 340).line(line, 0.02)
    pen.curve(crown).line(line, 0.026)
