"""Small and quiet prints: stripes, dots, sprigs, checks."""

from quiltgeom.demo import motifs_market as market
from quiltgeom.demo import motifs_shore as shore
from quiltgeom.demo.noise import Dice, toss
from quiltgeom.demo.pen import Pen
from quiltgeom.demo.print_spec import PrintSpec


def draw_rope_stripe(pen: Pen, spec: PrintSpec) -> None:
    """Bands with a laid rope between. Inks: band, rope, rope line, pin line."""
    band, rope, line, pin = spec.inks
    w, h = spec.size
    pen.box(0, 0, w * 0.36, h).fill(band)
    for x in (w * 0.40, w * 0.43, -w * 0.04, -w * 0.07):
        pen.box(x - w * 0.006, 0, w * 0.012, h).fill(pin)
    x, wide = w * 0.18, w * 0.13
    strands = round(h / (wide * 0.62))
    with pen.box(0, 0, w, h).inside():  # the rope runs through: no ends at the tile's edges
        points = [(x, i * h) for i in range(-1, 3)]
        shore.rope_along(pen, points, wide, rope, line, strands=3 * strands)
    pen.box(w * 0.66, 0, w * 0.04, h).fill(band)
    for side in (0.62, 0.74):
        pen.box(w * (side - 0.006), 0, w * 0.012, h).fill(pin)


def draw_ticking(pen: Pen, spec: PrintSpec) -> None:
    """Ticking: one wide and two thin stripes. Inks: stripe."""
    w, h = spec.size
    for x, wide in ((0.38, 0.24), (0.26, 0.05), (0.69, 0.05), (0.96, 0.03), (0.01, 0.03)):
        pen.box(w * x, 0, w * wide, h).fill(spec.inks[0])


def draw_dots(pen: Pen, spec: PrintSpec) -> None:
    """One dot to a repeat (used with a half-drop). Inks: dots, in turn."""
    w, h = spec.size
    n = len(spec.inks)
    for i, ink in enumerate(spec.inks):
        pen.oval(w * (i + 0.5) / n, h / 2, spec.motif / 2).fill(ink)


def draw_sprigs(pen: Pen, spec: PrintSpec) -> None:
    """Tiny tossed sprigs. Inks: stem, leaf, berry."""
    count = round(spec.size[0] * spec.size[1] / (spec.motif**2 * 1.75))
    for s in toss(spec.size, count, spec.seed):
        with pen.at(s.x, s.y, spec.motif, s.turn):
            market.sprig(pen, *spec.inks)


def draw_seeds(pen: Pen, spec: PrintSpec) -> None:
    """Tossed grains of sand or seed. Inks: grains, in turn."""
    count = round(spec.size[0] * spec.size[1] / (spec.motif**2 * 3.2))
    for s in toss(spec.size, count, spec.seed):
        ink = spec.inks[s.number % len(spec.inks)]
        pen.oval(s.x, s.y, spec.motif / 2, spec.motif * 0.24, s.turn).fill(ink)


def draw_stitches(pen: Pen, spec: PrintSpec) -> None:
    """Short stitches, level and upright in turn. Inks: stitches."""
    w, h = spec.size
    dice = Dice(spec.seed)
    n = max(2, round(w / (spec.motif * 1.35)))
    step = w / n
    rows = max(2, 2 * round(h / step / 2))
    for row in range(rows):
        for k in range(n):
            x, y = (k + 0.5) * step, (row + 0.5) * h / rows
            turn = 90 * ((k + row) % 2) + dice.between(-9, 9)
            with pen.at(x, y, spec.motif, turn):
                pen.thread("-.42,0 0,.03 .42,0").line(spec.inks[(k + row) % len(spec.inks)], 0.2)


def draw_waves(pen: Pen, spec: PrintSpec) -> None:
    """One scale of a wave pattern: nested arcs (used as a brick repeat). Inks: arcs."""
    w, h = spec.size
    for dx, dy in ((0, 0), (-0.5, 1), (0.5, 1), (0, 2)):
        x, y = w / 2 + dx * w, h + dy * h
        for k, part in enumerate((0.98, 0.74, 0.5, 0.26)):
            pen.oval(x, y, w / 2 * part, h * 2 * part * 0.98)
            if k == 0:
                pen.fill(spec.ground)
            pen.line(spec.inks[k % len(spec.inks)], w * 0.042)


def draw_gingham(pen: Pen, spec: PrintSpec) -> None:
    """Woven check: one ink both ways. Inks: check."""
    w, h = spec.size
    pen.box(0, 0, w / 2, h).fill(spec.inks[0], 0.5)
    pen.box(0, 0, w, h / 2).fill(spec.inks[0], 0.5)


def draw_plaid(pen: Pen, spec: PrintSpec) -> None:
    """Woven plaid. Inks: wide bar, second bar, thin line."""
    w, h = spec.size
    wide, second, thin = spec.inks
    bars = (
        (0.05, 0.30, wide),
        (0.61, 0.18, second),
        (0.1875, 0.025, thin),
        (0.4375, 0.025, thin),
        (0.9375, 0.025, thin),
    )
    for at, part, ink in bars:
        pen.box(w * at, 0, w * part, h).fill(ink)
    pen.layer(opacity=0.5)  # where yarns cross, each shows on half the area
    pen.box(0, 0, w, h).fill(spec.ground)
    for at, part, ink in bars:
        pen.box(0, h * at, w, h * part).fill(ink)


def draw_net(pen: Pen, spec: PrintSpec) -> None:
    """Square-meshed net hung by a corner: twine with knots. Inks: twine, knot."""
    w, h = spec.size
    twine, knot = spec.inks
    n = 16
    for side in (-1, 1):
        for strand in (-1, 1):
            pts = [
                (w * i / n, h * (0.5 + side * (0.5 - i / n)) + strand * w * 0.016)
                for i in range(-2, n + 3)
            ]
            pen.polyline(pts).line(twine, w * 0.03)
    for x, y in ((0, 0), (0.5, 0.5)):
        for turn in (45, 135):
            pen.oval(w * x, h * y, w * 0.085, w * 0.045, turn).fill(knot)
        pen.oval(w * x, h * y, w * 0.048).fill(knot).line(spec.ground, w * 0.008)


def draw_sparkles(pen: Pen, spec: PrintSpec) -> None:
    """Tossed sparks with four rays, and dots between. Inks: spark, dot."""
    spark, dot = spec.inks
    count = round(spec.size[0] * spec.size[1] / (spec.motif**2 * 2.6))
    for s in toss(spec.size, count, spec.seed):
        if s.number % 2:
            pen.oval(s.x, s.y, spec.motif * 0.11).fill(dot)
            continue
        with pen.at(s.x, s.y, spec.motif, s.turn):
            star = "0,-.5 .09,-.09 .5,0 .09,.09 0,.5 -.09,.09 -.5,0 -.09,-.09"
            pen.poly(star).fill(spark)
