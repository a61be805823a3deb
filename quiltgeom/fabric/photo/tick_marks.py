"""How far apart the long ticks of a ruler are, and whether they count inches or centimetres."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

_WIDEST = 80.0  # pixels from tick to tick, at most
_BEATS = 3  # that are tried: print and table have some, too
_FADED = 0.3  # of the strongest: ticks this faint end the ruler
_UNEVEN = 0.08  # of the way to the next tick: real ticks stand nearer to where they should
_SEEN = 0.35  # of a usual tick: so dark a row still is of the tick
_SPANS = 4  # from longest tick to longest tick, at least: fewer tell no order
_SAME = 1.5  # rows: lengths that differ by no more are the same
_CLEAR = 0.6  # of the differences in length between ticks their order explains, at least

_INCHES = {8: 1.0, 16: 1.0, 32: 1.0, 10: 1 / 2.54, 20: 1 / 2.54}
"""What a span is by its parts: eighths, sixteenths and 32nds divide an inch, tenths and twentieths
a centimetre; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Ticks:
    """The order of ticks along an edge.

    Attributes:
        parts: from one longest tick to the next.
        inch: pixels of one inch along the strip.
    """

    parts: int
    inch: float


def read_ticks(strip: Pixels, step: float) -> Ticks | None:
    """The order of ticks of several lengths along a ruler's edge.

    Args:
        strip: ``(rows, n)`` uint8, lightness along the edge, rows one pixel apart.
        step: pixels from one column to the next.

    Returns:
        None where there is no row of even ticks in the order of inches or centimetres.

    >>> strip = np.full((60, 1000), 200, np.uint8)
    >>> for k in range(80):
    ...     strip[: {0: 40, 4: 30}.get(k % 8, 16), 12 * k : 12 * k + 3] = 30
    >>> read_ticks(strip, 1.0)
    Ticks(parts=8, inch=96.0)
    """
    rows = cv2.blur(strip.astype(np.float32), (1, 3))
    rows -= cv2.blur(rows, (2 * round(_WIDEST / step) + 1, 1))
    for begin, cycles, strong in beats(rows, step, _SPANS * min(_INCHES)):
        inner = rows[:, begin : begin + len(cycles)]
        for signed, turned in ((-inner, 0.5), (inner, 0.0)):
            parts = _order(_lengths(signed, cycles - turned, strong))
            if parts is not None:
                per_tick = step * (len(cycles) - 1) / (cycles[-1] - cycles[0])
                return Ticks(parts, round(float(per_tick * parts / _INCHES[parts]), 1))
    return None


def beats(rows: Floats, step: float, fewest: float) -> Iterator[tuple[int, Floats, slice]]:
    """The strongest even beats along a strip, strongest first: the column where one begins, how
    many periods have passed at each column from there, and the rows where it is strong; high places
    pass at whole periods.

    Lens and paper bend it a little; its phase is followed along the strip.

    Args:
        rows: ``(rows, n)``, about 0 in the mean; beats are looked for in the middle half of them.
        step: pixels from one column to the next.
        fewest: periods that it goes on for, at least.
    """
    often, power = _spectrum(rows)
    power *= (often > step / _WIDEST) & (often < 0.48)
    for _ in range(_BEATS):
        row, k = np.unravel_index(power.argmax(), power.shape)
        if power[row, k] <= 0:
            return
        weak = np.nonzero(power[:, k] <= 0.5 * power[row, k])[0]
        first = int(max(weak[weak < row], default=-1)) + 1
        strong = slice(first, int(min(weak[weak > row], default=len(rows))))
        followed = _followed(rows[strong].mean(axis=0), float(often[k]), fewest)
        if followed is not None:
            yield *followed, strong
        power[:, np.abs(often / often[k] - 1) < 0.1] = 0


def _followed(row: Floats, often: float, fewest: float) -> tuple[int, Floats] | None:
    """Where a beat of so many cycles per column begins, and its cycles, if it is even."""
    columns = np.arange(len(row))
    turning = row * np.exp(-2j * np.pi * often * columns)
    kernel = (2 * round(7.5 / often) + 1, 1)
    smooth = [
        cv2.GaussianBlur(part.astype(np.float32)[None], kernel, 2.5 / often)[0].astype(np.float64)
        for part in (turning.real, turning.imag)
    ]
    size = np.hypot(*smooth)
    faded = np.r_[-1, np.nonzero(size < _FADED * np.percentile(size, 95))[0], len(row)]
    longest = np.diff(faded).argmax()
    inner = slice(faded[longest] + 1, faded[longest + 1])
    if (inner.stop - inner.start) * often < fewest:
        return None
    phase = np.unwrap(np.arctan2(smooth[1][inner], smooth[0][inner])) / (2 * np.pi)
    bent = np.polynomial.Polynomial.fit(columns[inner], phase, 3, w=size[inner])(columns[inner])
    if np.std(phase - bent) > _UNEVEN:
        return None
    return inner.start, often * columns[inner] + bent


def _spectrum(rows: Floats) -> tuple[Floats, Floats]:
    """Cycles per column, and power at them of each row in the middle half (Welch 1967)."""
    from scipy.fft import rfft

    size = min(rows.shape[1], max(256, rows.shape[1] // 3))
    quick = cv2.getOptimalDFTSize(size)
    quarter = len(rows) // 4
    inner = rows[quarter : len(rows) - quarter].astype(np.float32)
    window = np.hanning(size).astype(np.float32)
    power = np.zeros((len(rows), quick // 2 + 1))
    for b in range(0, rows.shape[1] - size + 1, size // 2):
        waves = rfft(inner[:, b : b + size] * window, quick, axis=1)
        power[quarter : len(rows) - quarter] += np.abs(waves) ** 2
    return np.fft.rfftfreq(quick).astype(np.float64), power


def _lengths(rows: Floats, cycles: Floats, strong: slice) -> Floats:
    """How long each tick is, in rows; ticks are high and stand at whole cycles.

    Returns:
        Nothing where they do not all begin in one line: a ruler's edge.

    Args:
        cycles: at each column; they grow.
    """
    ticks = np.arange(np.ceil(cycles[0] + 0.7), np.floor(cycles[-1] - 0.7) + 1)

    def at(moved: float) -> Floats:
        places = ticks + moved + np.array([[-0.12], [0.0], [0.12]])
        near = np.interp(places, cycles, np.arange(len(cycles)))
        left = near.astype(int)
        part = near - left
        result: Floats = (rows[:, left] * (1 - part) + rows[:, left + 1] * part).mean(axis=1)
        return result

    over = at(0.0) - (at(-0.5) + at(0.5)) / 2
    usual = float(np.median(over[strong].mean(axis=0)))
    if usual <= 0:
        return np.zeros(0)
    middle = (strong.start + strong.stop) // 2
    reach = []
    for way in (over[middle:], over[:middle][::-1]):
        on = np.cumprod(way > _SEEN * usual, axis=0)
        reach.append((on * np.clip(way / usual, 0, 1)).sum(axis=0))
    return reach[0] + reach[1] if min(map(_uneven, reach)) < _SAME else np.zeros(0)


def _uneven(reach: Floats) -> float:
    """How far the ends of ticks usually are from one straight line, rows."""
    at = np.arange(len(reach))
    off = reach - np.median(reach)
    if len(at) > 2:
        slope, offset = np.polyfit(at, off, 1)
        off = off - slope * at - offset
    return float(np.quantile(np.abs(off), 0.8))


def _order(lengths: Floats) -> int | None:
    """Into how many parts ticks of these lengths divide a unit, if they do so as rulers do."""
    for parts in sorted(_INCHES):
        if len(lengths) < _SPANS * parts:
            continue
        long, clear = _by_place(lengths, parts)
        twice, _ = _by_place(lengths, 2 * parts)
        same = max(_SAME, 0.1 * float(np.ptp(long)))
        longest = int(long.argmax())
        alternate = abs(twice[longest] - twice[longest + parts]) > same
        if clear > _CLEAR and not alternate and _as_rulers(np.roll(long, -longest), same):
            return parts
    return None


def _by_place(lengths: Floats, parts: int) -> tuple[Floats, float]:
    """The usual length at each place of a unit, and what part of all differences that explains."""
    place = np.arange(len(lengths)) % parts
    long = np.array([np.median(lengths[place == k]) for k in range(parts)])
    # the ruler's ends and what lies on it spoil a few
    left = np.sort(np.abs(lengths - long[place]))[: int(0.9 * len(lengths))].mean()
    spread = np.abs(lengths - np.median(lengths)).mean()
    return long, float(1 - left / spread) if spread > 0 else 0.0


def _as_rulers(long: Floats, same: float) -> bool:
    """Whether ticks, the longest first, are the longer the larger the part that they end: a whole,
    a half, then the fifths of a half (of a centimetre) or ever further halves (of an inch)."""
    parts = len(long)
    steps = [parts, parts // 2, *([parts // 10] if parts % 10 == 0 else [])]
    while steps[-1] > 1:
        steps.append(steps[-1] // 2)
    ends = [set(range(0, parts, step)) for step in steps]
    levels = [long[[0]], *(long[sorted(b - a)] for a, b in pairwise(ends))]
    usual = [float(np.median(level)) for level in levels]
    return (
        all(np.ptp(level) <= 2 * same for level in levels)
        and all(b <= a + same for a, b in pairwise(usual))
        and usual[0] > usual[1] + same
        and usual[1] > usual[-1] + same
    )
