"""The colours of a print: a palette with area shares, stable against noise and picture size.

They are named by a published standard: ISCC-NBS (NBS Circular 553 and SP 440).
"""

from dataclasses import dataclass
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import ArrayLike, NDArray

from quiltgeom.colour import (
    Floats,
    delta_e_2000,
    from_hex,
    oklab_to_rgb,
    rgb_to_lab,
    rgb_to_oklab,
    to_hex,
)
from quiltgeom.fabric.reading.pixels import check_rgb, local_spread, shrink
from quiltgeom.tolerance import LEAST_DIVISOR

SIDE = 720
"""Pixels: a 12-inch swatch keeps 1/60 inch, so that thin lines show some of their ink."""
COLOURS = 8
"""A palette has at most this many."""
_BIN = 0.02  # OKLab units: about two just-noticeable steps
_SEED_APART = 0.06  # OKLab distance between starting colours
_SEEDS = 16
_SAME = 7.0  # CIEDE2000: two shades of one dye lot, or of one dot in light and shade
_CALM = 0.4  # a colour with fewer calm pixels, for its share, may be a mixture at edges
_BESIDE = 0.05  # OKLab distance from the line between the two colours that meet
_LEAST_SHARE = 0.004  # smaller specks are no colour of the print
_THIN = 0.03  # of the area: a colour with less may be that of thin lines, mixed with the ground
_RAY = 0.02  # OKLab distance from the ray of its mixtures with the ground
_RAY_OPENS = 0.12  # wider so much for each unit along it
_TIP = 0.2  # of the pixels on the ray: the least mixed ones


@dataclass(frozen=True, slots=True)
class PaletteColour:
    """One colour of a print.

    Attributes:
        hex: ``#rrggbb`` (sRGB).
        share: part of the area, 0..1.
    """

    hex: str
    share: float
    name: str


def read_palette(rgb: NDArray[np.uint8]) -> tuple[PaletteColour, ...]:
    """The main colours of a picture, largest share first.

    Colours are found among pixels away from edges (edge pixels are mixtures), by weighted k-means
    over a histogram in OKLab; near-equal colours are merged (CIEDE2000).

    Args:
        rgb: ``(h, w, 3)`` uint8.

    Returns:
        1 (a plain cloth) to 8 colours; shares add up to 1.

    Raises:
        QuiltValueError: not a picture.

    >>> half = np.zeros((64, 64, 3), dtype=np.uint8)
    >>> half[:, 32:] = (190, 0, 50)
    >>> [(c.hex, round(c.share, 2), c.name) for c in read_palette(half)]
    [('#000000', 0.5, 'black'), ('#be0032', 0.5, 'vivid red')]
    """
    lab = rgb_to_oklab(_steady(shrink(check_rgb(rgb), SIDE)))
    calm, middles = _away_from_edges(lab)
    points, weights = _histogram(lab[calm | middles])
    centres = _k_means(points, weights, _seeds(points, weights))
    everything, areas = _histogram(lab.reshape(-1, 3))
    calm_points, calm_weights = _histogram(lab[calm])
    centres = _without_mixtures(
        centres, _shares(everything, areas, centres), _shares(calm_points, calm_weights, centres)
    )
    centres, shares = _merge(centres, _shares(everything, areas, centres))
    calmness = _shares(calm_points, calm_weights, centres) / np.maximum(shares, LEAST_DIVISOR)
    thin = (shares < _THIN) & (calmness < _CALM)
    centres = _inks_of_thin_lines(centres, thin, shares, everything, areas)
    centres, shares = _merge(centres, _shares(everything, areas, centres))
    shares = _shares(everything, areas, centres)
    colours = oklab_to_rgb(centres)
    found = [
        PaletteColour(to_hex(c), float(s), colour_name(c))
        for c, s in zip(colours, shares, strict=True)
    ]
    return tuple(sorted(found, key=lambda c: (-round(c.share, 9), c.hex)))


def _steady(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Take camera noise out without mixing colours across edges."""
    from PIL import Image, ImageFilter

    return np.asarray(Image.fromarray(rgb).filter(ImageFilter.MedianFilter(3)))


def _away_from_edges(lab: Floats) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Calm pixels, and the middles of things too small to have any."""
    from scipy.ndimage import maximum_filter, minimum_filter

    spread = local_spread(lab)
    # a busy print has few calm pixels: keep at least the calmest third
    limit = max(0.03, float(np.quantile(spread, 0.35)))
    # the middle of a dot too small to have calm pixels is its least mixed one
    light = lab[..., 0]
    middles = (light == maximum_filter(light, 5)) | (light == minimum_filter(light, 5))
    return spread <= limit, np.asarray(middles & (spread > 2 * limit))


def _without_mixtures(centres: Floats, shares: Floats, calm: Floats) -> Floats:
    """Leave out colours that are only found at edges, between the two colours that meet there."""
    keep = np.ones(len(centres), dtype=bool)
    for k in np.argsort(shares, kind="stable"):
        if calm[k] > _CALM * shares[k]:
            continue
        others = [i for i in range(len(centres)) if keep[i] and shares[i] > shares[k]]
        for i, a in enumerate(others):
            for b in others[:i]:
                way = centres[b] - centres[a]
                t = float(np.clip((centres[k] - centres[a]) @ way / (way @ way), 0.1, 0.9))
                if np.linalg.norm(centres[a] + t * way - centres[k]) < _BESIDE:
                    keep[k] = False
    return centres[keep]


def _inks_of_thin_lines(
    centres: Floats, thin: NDArray[np.bool_], shares: Floats, points: Floats, weights: Floats
) -> Floats:
    """Move colours of lines too thin to show their ink to the least mixed of their pixels.

    A line thinner than the photo shows is mixed with its ground everywhere, more or less: its
    colours lie on a ray from the ground's, and the ink is where the ray ends. Of two such colours
    on one ray the nearer is left out.
    """
    ground = centres[int(np.argmax(shares))]
    out, keep = centres.copy(), np.ones(len(centres), dtype=bool)
    far = np.linalg.norm(centres - ground, axis=1)
    for k in np.nonzero(thin & (far >= _SEED_APART))[0]:
        way = (centres[k] - ground) / far[k]
        along, aside = _by_ray(points, ground, way)
        on = (aside < _RAY + _RAY_OPENS * along) & (along > 0.5 * far[k])
        order = np.argsort(-along[on], kind="stable")
        mass = np.cumsum(weights[on][order])
        end = order[mass <= max(_TIP * mass[-1], mass[0])]
        tip = np.average(points[on][end], axis=0, weights=weights[on][end])
        if np.linalg.norm(tip - ground) > far[k]:
            out[k] = tip
        along, aside = _by_ray(centres, ground, way)
        nearer = (aside < _RAY + _RAY_OPENS * along) & (along > 0) & (along < 0.98 * far[k])
        keep &= ~(nearer & thin)
    return out[keep]


def _by_ray(points: Floats, start: Floats, way: Floats) -> tuple[Floats, Floats]:
    """How far along a ray points lie, and how far beside it."""
    along = (points - start) @ way
    return along, np.asarray(np.linalg.norm(points - start - along[:, None] * way, axis=1))


def _histogram(points: Floats) -> tuple[Floats, Floats]:
    """Mean colour and pixel count of every occupied bin."""
    # light is 0 .. 1, a and b within 0.5 (OKLab of any sRGB colour)
    cells = np.floor(points / _BIN).astype(np.int64) + np.array([2, 32, 32])
    key = (cells[:, 0] * 64 + cells[:, 1]) * 64 + cells[:, 2]
    count = np.bincount(key)
    used = np.nonzero(count)[0]
    sums = np.stack([np.bincount(key, points[:, c])[used] for c in range(3)], axis=1)
    return sums / count[used, None], count[used].astype(np.float64)


def _seeds(points: Floats, weights: Floats) -> Floats:
    """The densest colours, each at least a visible step from those before it."""
    near = np.exp(-_squared(points, points) / (2 * (1.5 * _BIN) ** 2)) if len(points) < 3000 else 0
    density = near @ weights if isinstance(near, np.ndarray) else weights.copy()
    alive = np.ones(len(points), dtype=bool)
    chosen: list[int] = []
    while alive.any() and len(chosen) < _SEEDS:
        best = int(np.argmax(np.where(alive, density, -1.0)))
        chosen.append(best)
        alive &= _squared(points, points[best : best + 1])[:, 0] > _SEED_APART**2
    return points[chosen]


def _squared(a: Floats, b: Floats) -> Floats:
    return np.asarray(((a[:, None, :] - b[None, :, :]) ** 2).sum(axis=2))


def _k_means(points: Floats, weights: Floats, centres: Floats) -> Floats:
    for _ in range(12):
        nearest = np.argmin(_squared(points, centres), axis=1)
        total = np.bincount(nearest, weights, minlength=len(centres))
        sums = np.stack(
            [np.bincount(nearest, weights * points[:, c], len(centres)) for c in range(3)], axis=1
        )
        keep = total > 0
        moved = sums[keep] / total[keep, None]
        if moved.shape == centres.shape and np.allclose(moved, centres, atol=1e-4):
            return moved
        centres = moved
    return centres


def _shares(points: Floats, weights: Floats, centres: Floats) -> Floats:
    nearest = np.argmin(_squared(points, centres), axis=1)
    total = np.bincount(nearest, weights, minlength=len(centres))
    return np.asarray(total / total.sum())


def _merge(centres: Floats, shares: Floats) -> tuple[Floats, Floats]:
    """Join near-equal colours, drop specks, and reduce to the most there may be."""
    centres, shares = centres.copy(), shares.copy()
    while len(centres) > 1:
        lab = rgb_to_lab(oklab_to_rgb(centres))
        apart = delta_e_2000(lab[:, None], lab[None])
        np.fill_diagonal(apart, np.inf)
        i, j = divmod(int(np.argmin(apart)), len(centres))
        small = int(np.argmin(shares))
        if apart[i, j] >= _SAME:
            if shares[small] >= _LEAST_SHARE and len(centres) <= COLOURS:
                break
            # too many, or a speck: the least share times distance is missed least
            i = int(np.argmin(shares * np.minimum(apart.min(axis=1), 40.0)))
            i = small if shares[small] < _LEAST_SHARE else i
            j = int(np.argmin(apart[i]))
        big, gone = (i, j) if shares[i] >= shares[j] else (j, i)
        if apart[i, j] < _SAME:
            both = shares[i] + shares[j]
            centres[big] = (centres[i] * shares[i] + centres[j] * shares[j]) / both
        shares[big] += shares[gone]
        centres, shares = np.delete(centres, gone, axis=0), np.delete(shares, gone)
    return centres, shares


@cache
def _table() -> tuple[tuple[str, ...], NDArray[np.uint8]]:
    text = resources.files(__package__).joinpath("iscc_nbs.tsv").read_text("utf-8")
    rows = [r.split("\t") for r in text.splitlines() if r and not r.startswith("#")][1:]
    colours = np.stack([from_hex(hex_code) for _, hex_code in rows])
    colours.setflags(write=False)
    return tuple(name for name, _ in rows), colours


def colour_name(rgb: ArrayLike) -> str:
    """The ISCC-NBS name whose centroid is nearest (CIEDE2000) to one sRGB colour.

    Args:
        rgb: three components, uint8 in 0..255 or float in 0..1.

    >>> colour_name(np.array([190, 0, 50], dtype=np.uint8))
    'vivid red'
    >>> colour_name(np.array([250, 250, 248], dtype=np.uint8))
    'white'
    """
    names, colours = _table()
    distance = delta_e_2000(rgb_to_lab(rgb), rgb_to_lab(colours))
    return names[int(np.argmin(distance))]
