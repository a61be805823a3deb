"""One repeat of a print on a torus, averaged over its copies, compared with its turned self."""

import math

import numpy as np

from quiltgeom.colour import Floats
from quiltgeom.fabric.reading.repeats.repeat import RepeatReading
from quiltgeom.tolerance import LEAST_DIVISOR, LEAST_POWER

_SAME_SIDES = 0.03  # a cell is square if its sides differ by no more
_LEAST_UNLIKE = 0.004  # between copies: a clean picture is no better than this when it is folded


def fold(planes: Floats, per_inch: float, repeat: RepeatReading) -> tuple[Floats, Floats] | None:
    """Two averages of one repeat, each over half of its copies.

    Args:
        planes: ``(c, h, w)`` detail planes.
        per_inch: their pixels per inch.

    Returns:
        Two ``(c, rows, columns)`` tori: the repeating rectangle where there is one, else the
        slanted cell; None without a repeat or with fewer than two copies in sight.
    """
    if len(repeat.vectors_in) != 2:
        return None
    p, q = _cell(repeat, per_inch)
    size = [max(8, round(float(np.hypot(*v)))) for v in (p, q)]
    if _is_square(p, q):
        size = [max(size)] * 2
    y, x = np.mgrid[0 : size[1], 0 : size[0]]
    base = x[..., None] / size[0] * p + y[..., None] / size[1] * q
    sums = [np.zeros((planes.shape[0], size[1], size[0])) for _ in range(2)]
    counts = [np.zeros((size[1], size[0])) for _ in range(2)]
    for i, j in _copies(p, q, planes.shape[2], planes.shape[1]):
        _add(planes, base + i * p + j * q, sums[(i + j) % 2], counts[(i + j) % 2])
    if min(float((c > 0).mean()) for c in counts) < 0.97:
        return None
    first, second = (s / np.maximum(c, 1) for s, c in zip(sums, counts, strict=True))
    return first, second


def _is_square(p: Floats, q: Floats) -> bool:
    a, b = (float(np.hypot(*v)) for v in (p, q))
    return abs(a - b) <= _SAME_SIDES * max(a, b) and abs(float(p @ q)) <= _SAME_SIDES * a * b


def _cell(repeat: RepeatReading, per_inch: float) -> tuple[Floats, Floats]:
    if repeat.cell_in is None:
        v = np.array(repeat.vectors_in) * per_inch
        return v[0], v[1]
    a, (w, h) = math.radians(repeat.turn_deg), (s * per_inch for s in repeat.cell_in)
    return (w * np.array([math.cos(a), math.sin(a)]), h * np.array([-math.sin(a), math.cos(a)]))


def _copies(p: Floats, q: Floats, w: int, h: int) -> list[tuple[int, int]]:
    corners = np.array([[0, 0], [w, 0], [0, h], [w, h]]) @ np.linalg.inv(np.stack([p, q]))
    low, high = np.floor(corners.min(axis=0)) - 1, np.ceil(corners.max(axis=0)) + 1
    steps = [
        (i, j) for i in range(int(low[0]), int(high[0])) for j in range(int(low[1]), int(high[1]))
    ]
    middle = np.array([w, h]) / 2
    far = [float(np.hypot(*((i + 0.5) * p + (j + 0.5) * q - middle))) for i, j in steps]
    return [steps[k] for k in np.argsort(far, kind="stable")[:64]]


def _add(planes: Floats, at: Floats, total: Floats, count: Floats) -> None:
    from scipy.ndimage import map_coordinates

    inside = ((at >= 0) & (at <= (planes.shape[2] - 1, planes.shape[1] - 1))).all(axis=-1)
    if not inside.any():
        return
    where = [at[..., 1][inside], at[..., 0][inside]]
    for k, plane in enumerate(planes):
        total[k][inside] += map_coordinates(plane, where, order=1)
    count += inside


def turned_likeness(pair: tuple[Floats, Floats], repeat: RepeatReading) -> dict[str, float]:
    """How well a print fits itself turned or mirrored, against how well copies fit each other.

    Returns:
        ``half``, ``quarter``, ``left_right`` and ``up_down`` (mirrored), each about 1 where the
        print cannot tell the difference and 0 where nothing fits; ``ceiling``: likeness of copies.
        A quarter turn needs a square repeat (slanted or not), mirroring an upright one; 0 without.
        ``half more`` and so on: how many times more unlike than copies are, as 0 (no more) .. 1 (a
        hundred times): keys turned upside down fit to 0.93, much less than copies at 0.99.
    """
    first, second = pair
    ceiling = max(_best(first, second), 0.05)
    upright = repeat.cell_in is not None
    square = first.shape[1] == first.shape[2] and (
        upright or _is_square(*(np.array(v) for v in repeat.vectors_in))
    )
    turned = {
        "half": second[:, ::-1, ::-1],
        "quarter": np.rot90(second, 1, axes=(1, 2)) if square else None,
        "left_right": second[:, :, ::-1] if upright else None,
        "up_down": second[:, ::-1, :] if upright else None,
    }
    out = {
        k: 0.0 if t is None else min(1.0, max(0.0, _best(first, t)) / ceiling)
        for k, t in turned.items()
    }
    left = max(1 - ceiling, _LEAST_UNLIKE)
    more = {
        f"{k} more": min(1.0, max(0.0, math.log10((1 - v * ceiling) / left) / 2))
        for k, v in out.items()
    }
    return out | more | {"ceiling": ceiling}


def richness(tile: Floats) -> dict[str, float]:
    """How much there is in one repeat ``(c, rows, columns)``: one figure, or a whole texture.

    Returns:
        ``waves``: how many waves share its power, ``fill``: how much of it is not ground, and
        ``long``: its mean wave against its size; each about 0..1.
    """
    tile = tile - tile.mean(axis=(1, 2), keepdims=True)
    power = (np.abs(np.fft.fft2(tile)) ** 2).sum(axis=0)
    share = power / max(float(power.sum()), LEAST_POWER)
    rows, columns = tile.shape[1:]
    y, x = np.meshgrid(
        np.fft.fftfreq(rows) * rows, np.fft.fftfreq(columns) * columns, indexing="ij"
    )
    energy = (tile**2).sum(axis=0)
    part = float(energy.sum() ** 2 / max(float((energy**2).sum()), LEAST_POWER)) / energy.size
    waves = 0.5 / max(float((share**2).sum()), LEAST_POWER)
    mean_wave = float((share * np.hypot(y, x)).sum())
    return {
        "waves": min(1.0, math.log10(max(waves, 1.0)) / 3),
        "fill": part,
        "long": min(1.0, math.log10(max(mean_wave, 1.0)) / 1.5),
    }


def _best(a: Floats, b: Floats) -> float:
    """Largest correlation of two tori over all shifts."""
    a = a - a.mean(axis=(1, 2), keepdims=True)
    b = b - b.mean(axis=(1, 2), keepdims=True)
    cross = np.fft.irfft2((np.fft.rfft2(a) * np.conj(np.fft.rfft2(b))).sum(axis=0), a.shape[1:])
    return float(cross.max() / max(LEAST_DIVISOR, math.sqrt(float((a**2).sum() * (b**2).sum()))))
