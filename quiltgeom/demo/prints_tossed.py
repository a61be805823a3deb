"""Medium prints: kelp, shells, gulls, anchors, feathers, boats, crabs, lighthouses."""

from quiltgeom.demo import motifs_birds as birds
from quiltgeom.demo import motifs_harbour as harbour
from quiltgeom.demo import motifs_shore as shore
from quiltgeom.demo.noise import Dice, toss
from quiltgeom.demo.pen import Pen, table, zigzag
from quiltgeom.demo.print_spec import PrintSpec


def draw_kelp(pen: Pen, spec: PrintSpec) -> None:
    """Fronds that rise from below, all over. Inks: blade, shade, line, bubble."""
    blade, shade, line, bubble = spec.inks
    w, h = spec.size
    dice = Dice(spec.seed)
    for _ in range(round(w * h * 1.6)):
        pen.oval(dice.between(0, w), dice.between(0, h), dice.between(0.02, 0.055)).line(
            bubble, 0.018
        )
    columns = max(2, round(w / (spec.motif * 0.30)))
    for layer in range(2):
        for k in range(columns):
            if k % 2 != layer:
                continue
            x, y = (k + 0.5) * w / columns, h * (1.0 if k % 2 else 0.52)
            with pen.at(x, y, mirror=k % 4 > 1):
                shore.kelp(pen, blade, shade, line, high=h * 0.93, sway=0.17)


def draw_shells(pen: Pen, spec: PrintSpec) -> None:
    """Tossed scallops, whelks and starfish. Inks: shell, rib, line, whelk, band, star, dot,
    sand."""
    shell, rib, line, whelk, band, star, dot, sand = spec.inks
    count = round(spec.size[0] * spec.size[1] / (spec.motif**2 * 1.35))
    spots = toss(spec.size, count, spec.seed)
    for s in toss(spec.size, count * 9, spec.seed + 1, rounds=15):
        pen.oval(s.x, s.y, 0.03).fill(sand)
    pen.layer()
    for s in spots:
        with pen.at(s.x, s.y, spec.motif, s.turn):
            if s.number % 3 == 0:
                shore.scallop(pen, shell, rib, line)
            elif s.number % 3 == 1:
                shore.starfish(pen, star, dot, line)
            else:
                shore.whelk(pen, whelk, band, line)


def draw_gulls(pen: Pen, spec: PrintSpec) -> None:
    """Gulls gliding over small clouds, all upright. Inks: body, wing, tip, bill, line, cloud."""
    body, wing, tip, bill, line, cloud = spec.inks
    w, h = spec.size
    s = spec.motif / 2
    for x, y, size in table(".3,.1,.55 .82,.38,.45 .16,.6,.42 .66,.86,.55"):
        with pen.at(w * x, h * y, s * size * 1.5):
            harbour.cloud(pen, cloud, spec.ground)
    pen.layer()
    places = (
        (0.14, 0.24, -6, 0.2, False, 1.0),
        (0.56, 0.16, -14, -0.5, True, 0.82),
        (0.88, 0.58, -4, 0.0, True, 1.0),
        (0.42, 0.52, -12, 0.5, False, 0.86),
        (0.26, 0.86, -10, -0.3, True, 0.92),
        (0.74, 0.76, 4, 0.6, False, 0.78),
        (0.88, 0.06, -6, -0.2, False, 0.7),
    )
    for x, y, turn, beat, mirror, size in places:
        with pen.at(w * x, h * y, s * size, turn, mirror=mirror):
            birds.gull(pen, body, wing, tip, bill, line, beat=beat)


def draw_anchors(pen: Pen, spec: PrintSpec) -> None:
    """One anchor to a half-drop repeat. Inks: iron, rope, line."""
    w, h = spec.size
    with pen.at(w / 2, h / 2, spec.motif / 2.1):
        shore.anchor(pen, *spec.inks)


def draw_feathers(pen: Pen, spec: PrintSpec) -> None:
    """Feathers that point up and down in turn. Inks: vane, tip, shaft, second vane, second tip."""
    vane, tip, shaft, other, other_tip = spec.inks
    w, h = spec.size
    for column in range(2):
        for k in range(2):
            x, y = w * (0.25 + 0.5 * column), h * (0.25 + 0.5 * k + 0.25 * column)
            with pen.at(x, y, spec.motif / 2, 180.0 * column + 14):
                birds.feather(pen, *((vane, tip, shaft) if k else (other, other_tip, shaft)))


def draw_regatta(pen: Pen, spec: PrintSpec) -> None:
    """Two boats to a half-drop repeat, each on its wavelets. Inks: hull, sail, stripe, line,
    second hull, second stripe, water."""
    hull, sail, stripe, line, hull2, stripe2, water = spec.inks
    w, h = spec.size
    s = spec.motif / 2.4
    for x, y, mirror, size, a, b in (
        (0.27, 0.62, False, 1.0, hull, stripe),
        (0.77, 0.74, True, 0.8, hull2, stripe2),
    ):
        with pen.at(w * x, h * y, s * size, mirror=mirror):
            harbour.sail_boat(pen, a, sail, b, line)
            for k, half in enumerate((1.28, 0.96, 0.48)):
                n = round(half * 2 / 0.16)
                pts = zigzag(-half, 0.1 + 0.13 * k, 0.16, 0.035, n + 1)
                pen.thread(pts).line(water, 0.06)


def draw_crabs(pen: Pen, spec: PrintSpec) -> None:
    """Tossed crabs with pebbles between. Inks: crab, spot, line, pebble, second pebble."""
    body, spot, line, pebble, other = spec.inks
    count = round(spec.size[0] * spec.size[1] / (spec.motif**2 * 2.2))
    spots = toss(spec.size, count * 4, spec.seed)
    for s in spots:
        if s.number % 4:
            ink = pebble if s.number % 8 < 4 else other
            pen.oval(s.x, s.y, spec.motif * 0.065, spec.motif * 0.045, s.turn).fill(ink)
    pen.layer()
    for s in toss(spec.size, count, spec.seed + 1):
        with pen.at(s.x, s.y, spec.motif / 1.35, s.turn):
            pen.oval(0, -0.05, 0.78).fill(spec.ground)
    pen.layer()
    for s in toss(spec.size, count, spec.seed + 1):
        with pen.at(s.x, s.y, spec.motif / 1.35, s.turn):
            shore.crab(pen, body, spot, line)


def draw_lighthouses(pen: Pen, spec: PrintSpec) -> None:
    """One small lighthouse to a half-drop repeat, with its rays. Inks: wall, band, line, glow,
    rock."""
    wall, band, line, glow, rock = spec.inks
    w, h = spec.size
    s = spec.motif / 3.6
    with pen.at(w / 2, h * 0.5 + spec.motif * 0.44, s):
        for side in (-1, 1):
            for k in (-1, 0, 1):
                x, y = side * (1.2 if k else 1.35), 0.3 * k - 2.5
                pen.polyline([(side * 0.36, -2.5 + k * 0.1), (x, y)]).line(glow, 0.07)
        with pen.at(0, -0.2):
            harbour.lighthouse(pen, wall, band, line, glow)
        pen.curve("-.95,.12 -.6,-.2 -.1,-.28 .5,-.24 .9,.12", pull=0.7).fill(rock).line(line, 0.03)
