"""The design of a print by the name that a shop sells it under, and what that means for cutting.

The names and what follows from them are common practice of the trade (no published source).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import rgb_to_lab
from quiltgeom.fabric.reading.designs.border_band import find_band
from quiltgeom.fabric.reading.designs.panel_frame import framed
from quiltgeom.fabric.reading.directions.direction import NOTHING_RECURS, DirectionReading
from quiltgeom.fabric.reading.palette import PaletteColour
from quiltgeom.fabric.reading.pixels import shrink
from quiltgeom.fabric.reading.repeats.repeat import SURE_REPEAT, RepeatReading
from quiltgeom.fabric.reading.value import SOLID
from quiltgeom.units import format_inches

_QUIET = 0.25  # loudness
_SLOW = 0.2  # part of a scene's variation of colour that lies between ninths of the picture
_WITH_A_LAYOUT = ("border", "panel")

_CUTTING = {
    "solid": "cut it any way",
    "texture": "nothing on it can be cut through: cut it any way",
    "stripe": "cut strips along or across, and keep them all one way",
    "plaid": "cut along its lines, and keep them straight in every patch",
    "panel": "use it whole; do not cut through its frame",
    "scene": "cut large patches; keep it upright",
    "all-over": "patches may be cut anywhere in it",
}


@dataclass(frozen=True, slots=True)
class PrintDesign:
    """What a shop calls a print.

    Attributes:
        kind: ``"solid"``, ``"texture"``, ``"stripe"``, ``"plaid"``, ``"border"``, ``"panel"``,
            ``"scene"`` or ``"all-over"``; ``"unknown"`` where it was not looked for.
        name: the kind in words, with what is known of it.
        details: what it means for cutting.
        confidence: 0..1.
        edge: along which edge of the picture a border runs: ``"top"``, ``"right"``, ``"bottom"``
            or ``"left"``.
        depth_in: how deep it is, inches.
    """

    kind: str
    name: str
    details: str
    confidence: float = 0.0
    edge: str | None = None
    depth_in: float | None = None

    @property
    def caution(self) -> str:
        """What to say before it is treated as an all-over print; "" where it is one.

        >>> PrintDesign("panel", "a panel", "use it whole", 0.9).caution[:34]
        'this looks like a panel: use it wh'
        """
        if self.kind not in _WITH_A_LAYOUT:
            return ""
        what = "a border print" if self.kind == "border" else "a panel"
        return (
            f"this looks like {what}: {self.details}; what is proposed takes it for an all-over "
            "print, so look again at where patches are cut"
        )


NOT_LOOKED_FOR = PrintDesign("unknown", "not looked for", "")


def read_design(
    rgb: NDArray[np.uint8],
    width_in: float,
    repeat: RepeatReading,
    direction: DirectionReading,
    palette: tuple[PaletteColour, ...],
    loudness: float,
) -> PrintDesign:
    """Name the design of a print from its pixels and what was read of it.

    What cannot be told is an all-over print "as far as the photo shows".

    Args:
        rgb: ``(h, w, 3)`` uint8, the cloth filling the picture.
        repeat, direction, palette, loudness: as read.
    """
    if repeat.kind == "plain" or loudness <= SOLID:
        return _named("solid", "solid, or nearly", 0.9)
    figure = direction.figure
    if figure in ("stripe", "plaid") and repeat.vectors_in:
        return _named(figure, "plaid or check" if figure == "plaid" else "stripe", 0.9)
    known = len(repeat.vectors_in) == 2 and repeat.confidence >= SURE_REPEAT
    if band := find_band(rgb, width_in, palette):
        deep = format_inches(round(4 * band.depth_in) / 4)
        name = f"border print: {band.edge} edge, about {deep} deep"
        how = (
            f"its border runs along the {band.edge} edge of the photo, about {deep} deep: cut the "
            "border strips from it along that edge, patches from the rest"
        )
        return PrintDesign("border", name, how, band.confidence, band.edge, band.depth_in)
    if known:
        return _named("all-over", "all-over", repeat.confidence)
    if sure := framed(rgb):
        return _named("panel", "panel: one picture in a frame", round(0.8 * sure, 2))
    if figure == "stripe":
        return _named(figure, "stripe, as far as the photo shows", 0.6)
    recurs = NOTHING_RECURS not in direction.reason
    if not repeat.vectors_in and not recurs and loudness >= _QUIET and _slow(rgb) >= _SLOW:
        return _named("scene", "scene, as far as the photo shows", 0.6)
    if not repeat.vectors_in and loudness < _QUIET and direction.kind == "non-directional":
        return _named("texture", "texture, as far as the photo shows", 0.6)
    return _named("all-over", "all-over, as far as the photo shows", 0.5)


def _named(kind: str, name: str, confidence: float) -> PrintDesign:
    return PrintDesign(kind, name, _CUTTING[kind], round(confidence, 2))


def _slow(rgb: NDArray[np.uint8]) -> float:
    """Part of the variation of hue and chroma, which light does not change, that lies between the
    ninths of a picture."""
    lab = rgb_to_lab(shrink(rgb, 120))[..., 1:]
    parts = [c for r in np.array_split(lab, 3, axis=0) for c in np.array_split(r, 3, axis=1)]
    middles = np.stack([p.mean(axis=(0, 1)) for p in parts])
    return float(middles.var(axis=0).sum() / max(float(lab.var(axis=(0, 1)).sum()), 25.0))
