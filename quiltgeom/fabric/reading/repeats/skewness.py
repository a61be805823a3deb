"""Whether a print differs from its turned self in its small parts: odd-order statistics.

Turned upside down, the third moment of a slope changes its sign. Its mean over a print is zero
where things lie anyhow or up and down in turn, and is not where they all stand upright; how far
from zero chance takes it shows in how it varies from place to place.
"""

import math
from itertools import pairwise

import numpy as np

from quiltgeom.colour import Floats
from quiltgeom.tolerance import LEAST_POWER

_SCALES = (1.0, 2.0, 4.0, 8.0)  # pixels
_MOST_BLOCKS = 12  # each way
_FLOOR = 0.15  # of a field's mean size: what creases and light may add to every block alike


def odd_moments(
    planes: Floats, turn_deg: float, things: float, *, torus: bool, twice: bool = False
) -> dict[str, float]:
    """How far odd statistics are from zero, upright and sideways.

    Args:
        planes: ``(c, h, w)``: one repeat (a torus) or the picture.
        turn_deg: how far the print's axes are turned in it, clockwise.
        things: about how many separate things are in it: so many independent samples.
        torus: whether it is one repeat, whose edges meet.
        twice: whether everything is in it twice (the rectangle of a half drop).

    Returns:
        ``odd up``, ``odd side``: mean over their mean size, 0..1; ``sure up``, ``sure side``: in
        deviations of chance, squashed to 0..1; ``odd`` and ``sure``, of the clearer one.
    """
    samples = _samples(planes, turn_deg, "wrap" if torus else "nearest")
    n = int(np.clip(round(math.sqrt(max(things, 1.0))), 2, _MOST_BLOCKS))
    wide = planes.shape[2] // 2 if twice else planes.shape[2]
    out: dict[str, float] = {}
    for name, fields in samples.items():
        effect, t = zip(*(_against_chance(q[:, :wide], n) for q in fields), strict=True)
        strong = np.sort(np.square(t))[-len(t) // 3 :]
        out[f"odd {name}"] = float(np.sqrt(np.mean(np.square(effect))))
        out[f"sure {name}"] = float(math.tanh(np.sqrt(strong.mean()) / 8))
        out[f"sure all {name}"] = float(math.tanh(np.sqrt(np.mean(np.square(t))) / 4))
    for kind in ("odd", "sure", "sure all"):
        out[kind] = max(out[f"{kind} up"], out[f"{kind} side"])
    return out


def _samples(planes: Floats, turn_deg: float, mode: str) -> dict[str, list[Floats]]:
    """Fields whose mean is odd under a half turn, for the print's up and its sideways."""
    from scipy.ndimage import correlate1d, gaussian_filter

    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    soft = [
        np.stack([gaussian_filter(p, s, mode=mode) for p in planes])
        for s in (*_SCALES, 2 * _SCALES[-1])
    ]
    bands = [a - b for a, b in pairwise(soft)]
    out: dict[str, list[Floats]] = {"up": [], "side": []}
    slopes = []
    for b in bands:
        gx = correlate1d(b, [-0.5, 0, 0.5], axis=2, mode=mode)
        gy = correlate1d(b, [-0.5, 0, 0.5], axis=1, mode=mode)
        slopes.append((gx * cos + gy * sin, gy * cos - gx * sin))
    for k, (side, up) in enumerate(slopes):
        size = side**2 + up**2
        for name, g in (("up", up), ("side", side)):
            for p in range(len(planes)):
                out[name] += [g[p] ** 3, g[p] * size[p]]
                if k + 1 < len(bands):
                    coarse = slopes[k + 1][name == "up"][p]
                    out[name] += [bands[k][p] ** 2 * coarse, size[p] * coarse]
            if len(planes) > 1:
                out[name].append(bands[k][0] ** 2 * g[1])
                out[name].append(bands[k][1] ** 2 * g[0])
    return out


def _against_chance(q: Floats, n: int) -> tuple[float, float]:
    """Mean of a field over its mean size, and over what chance makes of it (t of n x n blocks)."""
    level = float(np.abs(q).mean()) + LEAST_POWER
    h, w = q.shape
    ny, nx = max(1, min(n, h // 4)), max(1, min(n, w // 4))
    rows = np.add.reduceat(q, np.arange(ny) * h // ny, axis=0)
    sums = np.add.reduceat(rows, np.arange(nx) * w // nx, axis=1) / (q.size / (ny * nx))
    spread = float(sums.std(ddof=1)) if sums.size > 1 else level
    error = math.hypot(spread, _FLOOR * level) / math.sqrt(sums.size)
    return float(q.mean()) / level, float(sums.mean()) / error
