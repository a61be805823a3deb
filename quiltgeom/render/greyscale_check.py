"""The greyscale check: do the pieced shapes separate in the picture as it is drawn?

Measured at every seam of the greyscale mockup: the mean light within half an inch on either side,
each side only over its own cloth, as an eye that squints sees it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats, linear_light
from quiltgeom.matching.separation import SeamContrast, seam_contrast
from quiltgeom.matching.verdicts import MARKS, OUTCOME_WORDS, Outcome, Verdict, verdict, worst
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.quilt import Quilt
from quiltgeom.render.answer import Answer
from quiltgeom.render.mockup import mockup
from quiltgeom.render.preview import make_quilt
from quiltgeom.render.scene import Scene

_LONG_SIDE = 1000  # pixels: a quarter-inch strip of a wide quilt is still a few pixels wide
_RADIUS_IN = 0.5  # inches to either side of a seam over which light is averaged
_LEAST_SEAM_IN = 1.0  # shorter contacts are corners that touch
_NONE = 255


@dataclass(frozen=True, repr=False)
class Separation(Answer):
    """What a quilt looks like without its colours.

    Attributes:
        seams: one entry for each two roles that meet, the clearest last.
        same: roles that are given one cloth, so that nothing is to be seen between them.
    """

    scene: Scene
    seams: tuple[SeamContrast, ...]
    same: tuple[tuple[str, str], ...] = ()

    @property
    def outcome(self) -> Outcome:
        """The worst over all seams."""
        return worst(s.verdict for s in self.seams)

    @property
    def verdict(self) -> Verdict:
        """What is to be said of the whole: its worst seam."""
        said = [s.verdict for s in self.seams]
        if not said:
            return verdict("piecing-shows", "pass", 1.0, "no two cloths meet")
        bad = [v for v in said if v.outcome == self.outcome]
        least = min(bad, key=lambda v: v.score)
        return verdict("piecing-shows", self.outcome, least.score, least.sentence)

    def to_json(self) -> dict[str, Any]:
        """Plain data: the list is called ``seams``."""
        return {
            "outcome": self.outcome,
            "seams": [s.to_json() for s in self.seams],
            "one_cloth": [list(p) for p in self.same],
        }

    def lines(self) -> list[str]:
        """The outcome in a word, and every seam."""
        one = "are one cloth: nothing is to be seen between them"
        return [
            OUTCOME_WORDS[self.outcome],
            *(f"  {MARKS[s.outcome]} {s.sentence}" for s in self.seams),
            *(f"  {a} and {b} {one}" for a, b in self.same),
        ]

    def scenes(self) -> list[Scene]:
        """The picture in greys."""
        return [self.scene]


def separation(design: Design) -> Separation:
    """The greyscale check of a design.

    >>> plain = {"background": Fabric("a", colour="#808080"),
    ...          "accent": Fabric("b", colour="#808080")}
    >>> separation(Design("gull-cove", plain)).outcome
    'fail'
    """
    return check_separation(
        make_quilt(design), design.fabrics, seed=design.seed, fussy=design.fussy
    )


def check_separation(
    quilt: Quilt,
    fabrics: Mapping[str, Fabric],
    *,
    seed: int = 0,
    fussy: Sequence[str] = (),
    places: Mapping[int, tuple[float, float]] | None = None,
    labels: NDArray[np.uint8] | None = None,
) -> Separation:
    """The greyscale check of a quilt.

    Args:
        fabrics: by role; roles without one are in plain colours.
        seed, fussy, places: as for the mockup, so that this is the picture that was shown.
        labels: as of :func:`role_labels`, if they are known already.

    Raises:
        QuiltKeyError: a fabric is given for a role that the pattern does not have.
        QuiltFileError, QuiltValueError: a picture that cannot be used.
    """
    grey = mockup(quilt, fabrics, style="values", seed=seed, fussy=fussy, places=places)
    ppi = _LONG_SIDE / max(quilt.width, quilt.height)
    roles = list(quilt.roles)
    labels = role_labels(quilt) if labels is None else labels
    light = linear_light(_pixels(grey.scene, ppi))
    means = _own_means(light, labels, len(roles), max(1, round(_RADIUS_IN * ppi)))
    main = quilt.main_role
    seams, same = [], []
    for (a, b), (one, other) in sorted(_sides(labels, means).items()):
        pair = (roles[a], roles[b])
        if len(one) < _LEAST_SEAM_IN * ppi:
            continue
        if roles[a] in fabrics and fabrics[roles[a]] == fabrics.get(roles[b]):
            same.append(pair)
            continue
        seams.append(seam_contrast(pair, one, other, show=main in pair))
    return Separation(
        grey.scene, tuple(sorted(seams, key=lambda s: (s.steps, s.roles))), tuple(same)
    )


def _pixels(scene: Scene, ppi: float) -> NDArray[np.uint8]:
    from quiltgeom.render.png import draw_pixels

    return draw_pixels(scene, ppi)[..., 0]


def role_labels(quilt: Quilt) -> NDArray[np.uint8]:
    """Number of each pixel's role in the picture that is checked; mixed pixels at the seams belong
    to none. Whatever cloth a quilt wears, they stay the same."""
    roles, ppi = list(quilt.roles), _LONG_SIDE / max(quilt.width, quilt.height)
    step = 240 // len(roles)
    flat = {r: Fabric(r, colour="#" + f"{step * k:02x}" * 3) for k, r in enumerate(roles)}
    drawn = _pixels(mockup(quilt, flat).scene, ppi)
    table = np.full(256, _NONE, dtype=np.uint8)
    table[step * np.arange(len(roles))] = np.arange(len(roles))
    labels: NDArray[np.uint8] = table[drawn]
    return labels


def _own_means(light: Floats, labels: NDArray[np.uint8], count: int, radius: int) -> Floats:
    """L* of the mean light about each pixel, over pixels of its own role only."""
    own = np.zeros_like(light)
    for k in range(count):
        mask = labels == k
        part = _summed(mask.astype(np.float64), radius)
        total = _summed(np.where(mask, light, 0.0), radius)
        own[mask] = np.maximum(total[mask], 0.0) / np.maximum(part[mask], 0.5)
    # CIE 1976 L*, from Y of white = 1
    return np.where(own > 216 / 24389, 116 * np.cbrt(own) - 16, own * 24389 / 27)


def _summed(values: Floats, radius: int) -> Floats:
    """Sums over squares of ``2 radius + 1`` pixels about each pixel, zero beyond the edge."""
    for _ in range(2):  # down, then across: turned each time
        sums = np.zeros((len(values) + 2 * radius + 1, values.shape[1]))
        np.cumsum(values, axis=0, out=sums[radius + 1 : radius + 1 + len(values)])
        sums[radius + 1 + len(values) :] = sums[radius + len(values)]
        values = (sums[2 * radius + 1 :] - sums[: len(values)]).T
    return values


def _sides(
    labels: NDArray[np.uint8], means: Floats
) -> dict[tuple[int, int], tuple[Floats, Floats]]:
    """By two roles: L* on either side, for every place where a row or a column of pixels crosses
    a seam between them."""
    found: dict[tuple[int, int], list[tuple[Floats, Floats]]] = {}
    for lab, val in ((labels, means), (labels.T, means.T)):
        for lag in (1, 2, 3):  # up to two mixed pixels lie between
            left, right = lab[:, :-lag], lab[:, lag:]
            meet = (left != right) & (left != _NONE) & (right != _NONE)
            for k in range(1, lag):
                meet &= lab[:, k : lab.shape[1] - lag + k] == _NONE
            swap = (left > right)[meet]
            one, other = val[:, :-lag][meet], val[:, lag:][meet]
            low = np.minimum(left, right)[meet].astype(np.int64)
            pairs = low * 256 + np.maximum(left, right)[meet]
            one, other = np.where(swap, other, one), np.where(swap, one, other)
            for pair in np.unique(pairs):
                here = pairs == pair
                key = (int(pair) // 256, int(pair) % 256)
                found.setdefault(key, []).append((one[here], other[here]))
    return {
        key: (np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts]))
        for key, parts in found.items()
    }
