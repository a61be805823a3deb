"""Laying bent cloth flat by its own print: where places meet their copies tells how it is bent."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeVar

import cv2
import numpy as np
from numpy.polynomial.legendre import legvander2d
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]
T = TypeVar("T", NDArray[np.uint8], NDArray[np.float32])

_DEGREE = 7  # of the polynomial (Legendre) by which cloth is bent
_STIFF = 3e-4  # how much bends of a high degree cost
_PLACES = 18  # each way, that are held against their copies
_WINDOW = (16, 48)  # least and most half side of a place, pixels
_SEARCH = 0.35  # of the shorter vector: so far off copies are looked for
_MOST_SEARCH = (20, 10, 6)  # and at most so many pixels, round by round
_ALIKE = 0.3  # correlation from which a place is believed to have met its copy
_SPREAD = 3.0  # pixels: what is farther off than this says nothing (Tukey's biweight)
_STEPS = ((1, 0), (0, 1), (1, 1), (1, -1), (2, 0), (0, 2))


@dataclass(frozen=True, slots=True)
class Bend:
    """How a picture of cloth is to be laid flat.

    Attributes:
        terms: ``(k, 2)`` of the shift (dx, dy) in pixels: what lies at p is at p + shift when flat.
        size: width and height of the picture that they are told in.
        vectors: ``(2, 2)`` the repeat of the flat cloth, its pixels.
        met: part of the places that met their copies.
        likeness: their mean correlation.
    """

    terms: Floats
    size: tuple[int, int]
    vectors: Floats
    met: float
    likeness: float

    def shift(self, at: Floats) -> Floats:
        """The shift at places ``(n, 2)``."""
        shift: Floats = _terms(at, self.size) @ self.terms
        return shift

    def flat(self, picture: T) -> T:
        """A picture of the same cloth, of any resolution, laid flat."""
        h, w = picture.shape[:2]
        size = np.array(self.size)
        y, x = np.mgrid[0:_GRID, 0:_GRID] / (_GRID - 1)
        goal = np.stack([x.ravel(), y.ravel()], axis=1) * (size - 1)
        at = _unbent(self, goal)
        at = (at + 0.5) * np.array([w, h]) / size - 0.5
        # cell middles of the coarse grid are its corners: it is drawn out to where they meet
        fine = np.mgrid[0:h, 0:w].astype(np.float32)
        col, row = fine[1] * ((_GRID - 1) / (w - 1)), fine[0] * ((_GRID - 1) / (h - 1))
        grid = at.reshape(_GRID, _GRID, 2).astype(np.float32)
        maps = cv2.remap(grid, col, row, cv2.INTER_LINEAR)
        out: T = cv2.remap(
            picture, maps[..., 0], maps[..., 1], cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
        )
        return out


_GRID = 65


def _unbent(bend: Bend, goal: Floats) -> Floats:
    """Where places of the flat cloth are in the picture."""
    at = goal.copy()
    for _ in range(10):
        at = goal - bend.shift(at)
    return at


def _terms(at: Floats, size: tuple[int, int]) -> Floats:
    t = np.clip(2 * at / (np.array(size) - 1) - 1, -1.1, 1.1)
    values = legvander2d(t[:, 0], t[:, 1], [_DEGREE, _DEGREE])
    kept: Floats = values[:, _kept()]
    return kept


def _kept() -> NDArray[np.bool_]:
    """Terms up to the degree, without those that only move, stretch or turn the whole."""
    i, j = np.mgrid[0 : _DEGREE + 1, 0 : _DEGREE + 1]
    kept: NDArray[np.bool_] = ((i + j >= 2) & (i + j <= _DEGREE)).ravel()
    return kept


def _cost() -> Floats:
    i, j = np.mgrid[0 : _DEGREE + 1, 0 : _DEGREE + 1]
    cost: Floats = ((i + j).ravel()[_kept()]).astype(float) ** 2
    return cost


def bend_of(planes: Floats, vectors: Floats, rounds: int = 3) -> Bend | None:
    """How cloth is bent, by the copies of every place.

    Args:
        planes: ``(c, h, w)`` of the picture, slow light taken out.
        vectors: ``(2, 2)`` about the repeat, pixels.

    Returns:
        None where too few places meet their copies.
    """
    picture = np.ascontiguousarray(np.moveaxis(planes, 0, -1), dtype=np.float32)
    size = picture.shape[1], picture.shape[0]
    none = np.zeros((int(_kept().sum()), 2))
    bend = Bend(none, size, np.array(vectors, float), 0.0, 0.0)
    for most in _MOST_SEARCH[:rounds]:
        flat = bend.flat(picture)
        pairs = list(_pairs(flat, bend.vectors, most))
        tried = len(pairs)
        pairs = [p for p in pairs if p[3] > _ALIKE]
        if len(pairs) < 40:
            return None
        here, there = (np.array([p[k] for p in pairs]) for k in (0, 1))
        step, alike = np.array([p[2] for p in pairs], float), np.array([p[3] for p in pairs])
        terms, found = _fit(_unbent(bend, here), _unbent(bend, there), step, alike, size)
        bend = Bend(terms, size, found, len(pairs) / tried, float(alike.mean()))
    return bend


def _pairs(
    flat: NDArray[np.float32], vectors: Floats, most: int
) -> Iterator[tuple[Floats, Floats, tuple[int, int], float]]:
    """Places, where their copies are, by how many steps of the repeat, and how alike."""
    h, w = flat.shape[:2]
    short = float(np.hypot(*vectors.T).min())
    half = int(np.clip(0.5 * np.hypot(*vectors.T).max(), *_WINDOW))
    reach = int(np.clip(_SEARCH * short, 3, most))
    xs, ys = (np.linspace(half, n - half - 1, _PLACES).round().astype(int) for n in (w, h))
    loud = 0.3 * float(flat.std())
    for i, j in _STEPS:
        step = i * vectors[0] + j * vectors[1]
        dx, dy = np.round(step).astype(int)
        for x in xs:
            for y in ys:
                tx, ty = x + dx, y + dy
                side = half + reach
                if not (side <= tx < w - side and side <= ty < h - side):
                    continue
                place = flat[y - half : y + half + 1, x - half : x + half + 1]
                if float(place.std()) < loud:
                    continue
                field = flat[ty - side : ty + side + 1, tx - side : tx + side + 1]
                alike = cv2.matchTemplate(field, place, cv2.TM_CCOEFF_NORMED)
                off, best = _peak(alike)
                if off is not None:
                    yield np.array([x, y], float), np.array([tx, ty]) + off, (i, j), best
                else:
                    yield np.array([x, y], float), np.array([tx, ty], float), (i, j), 0.0


def _peak(alike: NDArray[np.float32]) -> tuple[Floats | None, float]:
    """Place of the highest point from the middle, to a part of a pixel; None at the rim."""
    r = alike.shape[0] // 2
    y, x = np.unravel_index(int(alike.argmax()), alike.shape)
    best = float(alike[y, x])
    if not (0 < x < 2 * r and 0 < y < 2 * r):
        return None, best
    out = []
    for before, after in ((alike[y, x - 1], alike[y, x + 1]), (alike[y - 1, x], alike[y + 1, x])):
        bend = float(before - 2 * best + after)
        out.append(0.5 * float(before - after) / bend if bend < 0 else 0.0)
    return np.array([x - r + out[0], y - r + out[1]]), best


def _fit(
    here: Floats, there: Floats, step: Floats, alike: Floats, size: tuple[int, int]
) -> tuple[Floats, Floats]:
    """The bend under which all copies are whole steps apart, and the steps of the flat cloth:
    least squares, outliers weighing nothing in the end."""
    apart = there - here
    rows = np.column_stack([_terms(there, size) - _terms(here, size), -step])
    ridge = np.zeros((rows.shape[1], rows.shape[1]))
    count = len(_cost())
    ridge[np.arange(count), np.arange(count)] = _STIFF * _cost() * len(rows)
    solved, weight = np.zeros((rows.shape[1], 2)), alike**2
    for spread in (np.inf, 3 * _SPREAD, _SPREAD, _SPREAD):
        off = np.hypot(*(rows @ solved + apart).T) / spread
        w = weight * np.maximum(0, 1 - off**2) ** 2
        left = rows.T @ (rows * w[:, None]) + ridge
        left[np.arange(len(left)), np.arange(len(left))] += 1e-9 * len(rows)
        solved = np.linalg.solve(left, -rows.T @ (apart * w[:, None]))
    return solved[:count], solved[count:]
