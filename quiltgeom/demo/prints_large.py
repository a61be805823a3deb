"""Large prints: the harbour scene, herons, fish, lemons, feathers."""

import math

from quiltgeom.demo import motifs_birds as birds
from quiltgeom.demo import motifs_harbour as harbour
from quiltgeom.demo import motifs_market as market
from quiltgeom.demo import motifs_shore as shore
from quiltgeom.demo.noise import Dice, toss
from quiltgeom.demo.pen import Pen, table, zigzag
from quiltgeom.demo.print_spec import PrintSpec


def draw_harbour(pen: Pen, spec: PrintSpec) -> None:
    """Islands with a lighthouse and a village, boats between. Inks: deep, red, sand, white, sea,
    green, gold."""
    deep, red, sand, white, sea, green, gold = spec.inks
    _sea_marks(pen, spec, sea)
    pen.layer()
    with pen.at(3.1, 5.7):
        _light_island(pen, spec.inks)
    with pen.at(8.9, 11.55):
        _village(pen, spec.inks)
    for x, y, scale, mirror in ((8.0, 4.2, 0.72, False), (10.5, 5.4, 0.5, True)):
        with pen.at(x, y, scale, mirror=mirror):
            harbour.sail_boat(pen, deep if mirror else red, white, red if mirror else gold, deep)
        _wake(pen, x, y, scale, deep, white)
    with pen.at(3.0, 9.9, 0.95):
        harbour.fishing_boat(pen, green, white, red, deep)
    _wake(pen, 3.0, 9.9, 1.1, deep, white)
    for x, y, scale in ((6.2, 1.4, 0.95), (11.0, 2.5, 0.75), (1.2, 7.4, 0.8), (4.6, 7.2, 0.6)):
        with pen.at(x, y, scale):
            harbour.cloud(pen, white, sea)
    for x, y, scale, beat in table(
        "8.4,.9,.45,.3 9.7,1.6,.36,-.4 2.2,8.15,.36,.1 5.6,8.5,.45,-.3 11.4,6.6,.38,.3"
    ):
        with pen.at(x, y, scale, -8, mirror=beat < 0):
            birds.gull(pen, white, sand, deep, gold, deep, beat=beat)
    for x, y in ((5.9, 11.1), (6.4, 5.7)):
        with pen.at(x, y, 0.42, 12):
            shore.buoy(pen, red, white, deep)
        _wake(pen, x, y + 0.12, 0.3, deep, white)


def _sea_marks(pen: Pen, spec: PrintSpec, sea: str) -> None:
    dice = Dice(spec.seed)
    rows = round(spec.size[1] / 0.5)
    for row in range(rows):
        y = (row + 0.5) * spec.size[1] / rows
        for k in range(6):
            x = (k + 0.5 * (row % 2)) * 2 + dice.between(-0.5, 0.5)
            n = 2 + dice.pick(3)
            pen.thread(zigzag(x, y, 0.16, 0.035, 2 * n)).line(sea, 0.035)


def _wake(pen: Pen, x: float, y: float, scale: float, deep: str, white: str) -> None:
    for k, (dx, dy, n) in enumerate(((-1.25, 0.06, 16), (-0.9, 0.18, 11), (-0.3, 0.29, 7))):
        pts = [
            (x + (dx + i * 0.16) * scale, y + (dy + (0.035 if i % 2 else -0.035)) * scale)
            for i in range(n)
        ]
        pen.thread(pts).line(white if k == 0 else deep, 0.075 * scale)
        if k == 0:
            pts = [(a, b + 0.06 * scale) for a, b in pts]
            pen.thread(pts).line(deep, 0.04 * scale)


def _light_island(pen: Pen, inks: tuple[str, ...]) -> None:
    deep, red, sand, white, sea, green, gold = inks
    for turn in (-166, -14):
        with pen.at(0.1, -4.72, turn=turn):
            for k in (-1, 0, 1):
                long = 2.0 if k else 2.3
                near, far = 0.03 * k, 0.3 * k
                pen.poly(
                    [
                        (0.3, near - 0.012),
                        (long, far - 0.085),
                        (long, far + 0.085),
                        (0.3, near + 0.012),
                    ]
                ).fill(gold)
    with pen.at(0.1, -1.1, 1.4):
        harbour.lighthouse(pen, white, red, deep, gold)
    with pen.at(-1.1, -1.06, 0.7):
        harbour.house(pen, white, red, deep, gold, wide=1.3, floors=1)
    with pen.at(0, 0):
        harbour.rock(pen, sand, deep, deep, wide=4.7, high=1.15)
    pen.curve("-1.5,-1 -.9,-1.2 0,-1.15 .7,-1.2 1.1,-.98 .5,-.9 -.5,-.96", pull=0.9).fill(
        green
    ).line(deep, 0.028)
    for x, y, s in ((1.25, -0.86, 0.62), (1.62, -0.58, 0.48), (-1.75, -0.6, 0.5)):
        with pen.at(x, y, s):
            harbour.tree(pen, green, sea, deep)
    for k in range(3):
        half = 2.55 - 0.32 * k
        n = round(half * 2 / 0.2)
        pts = zigzag(-half, 0.1 + 0.17 * k, 0.2, 0.05, n + 1)
        pen.thread(pts).line(deep if k else white, 0.06)
        if not k:
            pen.thread([(a, b + 0.06) for a, b in pts]).line(deep, 0.035)


def _village(pen: Pen, inks: tuple[str, ...]) -> None:
    deep, green = inks[0], inks[5]
    hill = "-3,-.6 -2.5,-1.9 -1.2,-2.9 .3,-3.1 1.8,-2.5 2.7,-1.5 3,-.6"
    pen.curve(hill, pull=0.8).fill(green)
    with pen.inside():
        for k in range(60):  # tufts of grass
            x, y = -2.9 + (k * 0.618 % 1) * 5.8, -3.0 + (k * 0.7548 % 1) * 2.5
            pen.thread([(x - 0.05, y - 0.07), (x, y), (x + 0.05, y - 0.08)]).line(deep, 0.018)
    pen.curve(hill, pull=0.8).line(deep, 0.03)
    _houses(pen, inks)
    _quay(pen, inks)
    _quay_boats(pen, inks)


def _houses(pen: Pen, inks: tuple[str, ...]) -> None:
    deep, red, sand, white, sea, _green, gold = inks
    with pen.at(0.35, -2.85, 0.72):
        harbour.church(pen, white, red, deep, gold)
    upper = (
        (-1.75, -1.95, 0.62, sand, red, 1),
        (-0.85, -2.35, 0.62, white, deep, 1),
        (1.5, -2.1, 0.62, gold, red, 1),
        (0.45, -1.85, 0.66, sand, deep, 2),
        (2.2, -1.55, 0.58, white, red, 1),
        (-0.35, -1.65, 0.66, gold, red, 1),
        (-2.2, -1.35, 0.6, white, red, 1),
        (1.35, -1.35, 0.66, white, deep, 1),
    )
    for x, y, s, wall, roof, floors in upper:
        with pen.at(x, y, s):
            harbour.house(pen, wall, roof, deep, sea, floors=floors)
    for x, y, s in table("-1.3,-1.5,.55 .95,-1.35,.5 -2.65,-1,.5 2.62,-.95,.55"):
        with pen.at(x, y, s):
            harbour.tree(pen, sea, deep, deep)
    quay_row = (
        (-2.15, white, deep, 1),
        (-1.25, red, deep, 2),
        (-0.4, white, red, 2),
        (0.45, sea, red, 2),
        (1.3, sand, deep, 2),
        (2.12, gold, red, 1),
    )
    for x, wall, roof, floors in quay_row:
        with pen.at(x, -0.5, 0.8):
            harbour.house(pen, wall, roof, deep, white if wall != white else sea, floors=floors)


def _quay(pen: Pen, inks: tuple[str, ...]) -> None:
    deep, sand = inks[0], inks[2]
    pen.poly("-3.05,-.52 3.05,-.52 2.95,.05 -2.95,.05").fill(sand)
    with pen.inside():
        for row in range(3):
            y = -0.52 + row * 0.19
            pen.polyline([(-3.1, y), (3.1, y)]).line(deep, 0.02)
            for k in range(16):
                x = -3.0 + (k + 0.5 * (row % 2)) * 0.4
                pen.polyline([(x, y), (x, y + 0.19)]).line(deep, 0.018)
    pen.poly("-3.05,-.52 3.05,-.52 2.95,.05 -2.95,.05").line(deep, 0.03)


def _quay_boats(pen: Pen, inks: tuple[str, ...]) -> None:
    deep, red, _sand, white, _sea, green, gold = inks
    for x, s, hull, mirror in ((-1.7, 0.52, red, False), (1.75, 0.55, deep, True)):
        with pen.at(x, 0.1, s, mirror=mirror):
            harbour.sail_boat(pen, hull, white, gold, deep)
    with pen.at(0.05, 0.12, 0.55):
        harbour.fishing_boat(pen, green, white, red, deep)
    for k in range(2):
        half = 2.9 - 0.5 * k
        n = round(half * 2 / 0.2)
        pts = zigzag(-half, 0.18 + 0.15 * k, 0.2, 0.045, n + 1)
        pen.thread(pts).line(white if not k else deep, 0.055)


def draw_herons(pen: Pen, spec: PrintSpec) -> None:
    """Herons standing in reeds, rising in drops. Inks: deep, slate, pale, ochre, reed, mist,
    brown, far reed."""
    deep, slate, pale, ochre, reed, mist, brown, far = spec.inks
    w, h = spec.size
    dice = Dice(spec.seed)
    _reed_bed(pen, dice, w, h, 2.2, mist, high=(2.6, 4.2), step=0.34)
    for x, y in ((w * 0.76, h * 0.40), (w * 0.26, h * 0.91)):
        with pen.at(x, y, 0.62, mirror=x < w / 2):
            birds.heron(pen, mist, mist, spec.ground, mist, mist, stoop=x < w / 2)
        for k in range(3):
            pts = zigzag(x - 1.5 + 0.2 * k, y + 0.1 + 0.15 * k, 0.18, 0.03, 17 - 3 * k)
            pen.thread(pts).line(mist, 0.05)
    pen.layer()
    scale = spec.motif / 5.2
    for x, y, mirror, stoop in (
        (w * 0.27, h * 0.46, False, False),
        (w * 0.78, h * 0.96, True, True),
    ):
        _reed_bed(pen, dice, 3.2, 0, 1.4, far, high=(1.9, 3.2), step=0.24, left=x - 1.6, foot=y)
        with pen.at(x, y, scale, mirror=mirror):
            birds.heron(pen, slate, deep, pale, deep, ochre, stoop=stoop)
        for dx, lean, high in table("-1.45,-.4,2.7 1.4,.35,2.5 1.05,.1,1.9 -1.1,-.15,2.05"):
            with pen.at(x + dx, y + 0.15, 1.0):
                birds.bulrush(pen, reed, brown, deep, high=high, lean=lean)
        _reed_bed(
            pen, dice, 3.4, 0, 0.9, reed, high=(0.5, 1.25), step=0.17, left=x - 1.7, foot=y + 0.2
        )
        _ripples(pen, x, y + 0.2, mist, slate)


def _reed_bed(
    pen: Pen,
    dice: Dice,
    wide: float,
    drop: float,
    sway: float,
    ink: str,
    *,
    high: tuple[float, float],
    step: float,
    left: float = 0.0,
    foot: float = 0.0,
) -> None:
    """Blades along a foot line; with ``drop`` a second row half the repeat lower."""
    for row in range(2 if drop else 1):
        for i in range(round(wide / step)):
            x = left + (i + dice.between(0.1, 0.9)) * step
            y = foot + row * drop / 2 + (dice.between(-0.4, 0.4) if drop else 0)
            with pen.at(x, y):
                birds.reed(pen, ink, high=dice.between(*high), lean=dice.between(-0.5, 0.5) * sway)


def _ripples(pen: Pen, x: float, y: float, pale: str, dark: str) -> None:
    for k, (half, dy) in enumerate(((1.75, 0.05), (1.35, 0.2), (0.85, 0.34))):
        pts = [(x - half + i * half / 6, y + dy + (0.03 if i % 2 else -0.03)) for i in range(13)]
        pen.thread(pts).line(dark if k != 1 else pale, 0.05)


def draw_fish(pen: Pen, spec: PrintSpec) -> None:
    """Columns of fish, alternately swimming up and down. Inks: back, belly, fin, line, bubble."""
    back, belly, fin, line, bubble = spec.inks
    w, h = spec.size
    for column in range(2):
        for k in range(2):
            x, y = w * (0.25 + 0.5 * column), h * (0.25 + 0.5 * k + 0.25 * column)
            with pen.at(x, y, spec.motif, 180.0 * column):
                shore.fish(pen, back, belly, fin, line)
        for k in range(8):  # a plaited line between the columns, the same either way up
            x, y = w * 0.5 * column, h * (k + 0.5) / 8
            pen.oval(x, y, spec.motif * 0.035).line(bubble, spec.motif * 0.016)


def draw_lemons(pen: Pen, spec: PrintSpec) -> None:
    """Tossed lemons, slices, leaves and blossom. Inks: skin, shade, light, line, leaf, dark leaf,
    petal, heart."""
    skin, shade, light, line, green, dark, petal, heart = spec.inks
    count = round(spec.size[0] * spec.size[1] / (spec.motif**2 * 0.72))
    spots = toss(spec.size, count, spec.seed)
    for s in spots:
        spread = (25, 150) if s.number % 3 else (-35, 200)
        with pen.at(s.x, s.y, spec.motif, s.turn):
            for k, off in enumerate((*spread, 255)):
                t = math.radians(off)
                with pen.at(0.22 * math.cos(t), 0.2 * math.sin(t), 0.62, off):
                    market.leaf(
                        pen,
                        *((green, dark, light) if (k + s.number) % 2 else (dark, green, light)),
                        wide=0.19,
                    )
    pen.layer()
    for s in spots:
        with pen.at(s.x, s.y, spec.motif, s.turn):
            kind = s.number % 5
            if kind in (0, 2):
                market.lemon(pen, skin, shade, light, line)
            elif kind == 3:
                market.lemon_slice(pen, shade, light, skin, light)
            elif kind == 1:
                with pen.at(-0.12, -0.05, 0.82, 30):
                    market.lemon(pen, skin, shade, light, line)
                with pen.at(0.22, 0.18, 0.7):
                    market.blossom(pen, petal, line, heart)
            else:
                with pen.at(0, 0, 0.95):
                    market.blossom(pen, petal, line, heart)
