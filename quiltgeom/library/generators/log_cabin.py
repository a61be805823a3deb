"""Log cabins: a centre and rounds of logs, in the usual orders."""

from quiltgeom.geometry.outline import rectangle
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params

_STYLES = ("spiral", "steps", "frames", "half")


def draw(p: Params) -> Drawing:
    """Log cabin.

    ``rounds``; ``centre`` and ``log`` in grid units; ``style``: ``spiral`` (two light logs, then
    two dark), ``steps`` (opposite pairs), ``frames`` (whole rounds by turns), ``half`` (logs on two
    sides only); ``cornerstones`` puts small squares on one diagonal, where the logs of
    a tone meet; ``roles``
    are those of the logs, ``heart`` that of the centre.
    """
    rounds, log = p.whole("rounds", 3, 1, 12), p.size("log", 1, 0.05, 10)
    centre = p.size("centre", 1, 0.05, 20)
    style = p.choice("style", _STYLES, _STYLES[0])
    roles = p.roles("roles", "background", "accent")
    heart = p.roles("heart", "focus")[0]
    stones = p.roles("cornerstones", "") if p.has("cornerstones") else []
    side = centre + (log * rounds if style == "half" else 2 * log * rounds)
    d = Drawing(side, side)
    start = 0.0 if style == "half" else log * rounds
    d.add(rectangle(start, start, centre, centre), heart, "centre")
    for k in range(rounds):
        if style == "half":
            _two_sides(d, centre + k * log, log, roles[k % len(roles)])
        elif style == "steps":
            _pairs(d, start - k * log, centre + 2 * k * log, log, roles)
        else:
            pair = [roles[k % len(roles)]] * 2 if style == "frames" else (roles * 2)[:2]
            _spiral(d, start - k * log, centre + 2 * k * log, log, pair, stones)
    return d


def _spiral(
    d: Drawing, at: float, inner: float, log: float, roles: list[str], stones: list[str]
) -> None:
    """Left and top in the first role, right and bottom in the second, each log over the end of the
    one before it, so that every seam is straight."""
    low, end = at - log, at + inner
    light, dark = roles
    if stones:
        d.add(rectangle(low, at, log, inner + log), light, "log")
        d.add(rectangle(at, low, inner, log), light, "log", 90)
        d.add(rectangle(end, low, log, inner + log), dark, "log", 180)
        d.add(rectangle(at, end, inner, log), dark, "log", 270)
        for corner in (low, end):
            d.add(rectangle(corner, corner, log, log), stones[0], "cornerstone")
        return
    d.add(rectangle(low, at, log, inner), light, "log")
    d.add(rectangle(low, low, inner + log, log), light, "log", 90)
    d.add(rectangle(end, low, log, inner + log), dark, "log", 180)
    d.add(rectangle(low, end, inner + 2 * log, log), dark, "log", 270)


def _pairs(d: Drawing, at: float, inner: float, log: float, roles: list[str]) -> None:
    low, end = at - log, at + inner
    for x, turn in ((low, 0), (end, 180)):
        d.add(rectangle(x, at, log, inner), roles[0], "log", turn)
    for y, turn in ((low, 90), (end, 270)):
        d.add(rectangle(low, y, inner + 2 * log, log), roles[1 % len(roles)], "log", turn)


def _two_sides(d: Drawing, inner: float, log: float, role: str) -> None:
    d.add(rectangle(inner, 0, log, inner), role, "log", 180)
    d.add(rectangle(0, inner, inner + log, log), role, "log", 270)
