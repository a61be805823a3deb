"""What hurts a photo of cloth, in words for who took it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.faults import lighting
from quiltgeom.fabric.photo.faults.sharpness import SIDE, blur_px
from quiltgeom.fabric.photo.prepared import Prepared

Pixels = NDArray[np.uint8]
Lattice = Sequence[tuple[float, float]]

_BLUR, _STRONG_BLUR = 1.7, 2.6  # pixels of 1200
_BURNT, _STRONG_BURNT = 0.03, 0.1
_GLARE = 0.06
_SHADOW = 0.2
_FALL, _STRONG_FALL = 2.2, 3.5
_DARK = 0.4  # the brightest hundredth of a photo, of white in sRGB
_STRONG_TILT = 35.0
_PER_INCH = 25.0
_HIDDEN, _STRONG_HIDDEN = 0.02, 0.15


@dataclass(frozen=True, slots=True)
class PhotoFault:
    """One thing that hurts a photo.

    Attributes:
        kind: one of :data:`KINDS`.
        amount: how much, in the unit that :data:`KINDS` names.
        seen: in words.
        todo: how to take the photo, so that it is not so.
        again: whether to take the photo again; else it only informs.
    """

    kind: str
    amount: float
    seen: str
    todo: str
    again: bool

    @property
    def words(self) -> str:
        """What is seen, and what to do about it."""
        return f"{self.seen}: {self.todo}"


KINDS = {
    "blurred": "blur of the sharper edges: sigma in pixels of a cloth 1200 pixels wide or high",
    "burnt": "part of the cloth, 0..1",
    "glare": "part of the cloth, 0..1",
    "shadow": "its edge's length by the cloth's longer side",
    "uneven light": "lightest part by darkest",
    "dark": "brightest hundredth of the photo, 0..1",
    "tilted": "degrees from straight above",
    "cut off": "sides that the photo cuts off",
    "few pixels": "pixels to the inch",
    "covered": "part of the cloth, 0..1",
    "colour unknown": "1",
}
"""All that is looked for, and what its amount is."""


def photo_faults(
    ready: Prepared, width_in: float, vectors_in: Lattice = (), *, plain: bool = False
) -> tuple[PhotoFault, ...]:
    """What hurts a photo: only what is surely seen; a flat picture of a print has none.

    Args:
        ready: the cloth, straightened.
        width_in: its real width, inches.
        vectors_in: two vectors of its repeat, inches, where that is sure.
        plain: whether it has no print.

    >>> squares = np.kron(np.indices((20, 20)).sum(axis=0) % 2, np.ones((30, 30), int))
    >>> rgb = np.repeat(np.uint8(60 + 120 * squares)[..., None], 3, axis=2)
    >>> photo_faults(Prepared(rgb, None, ()), 12.0)
    ()
    >>> soft = cv2.GaussianBlur(rgb, (0, 0), 4.5)
    >>> [(f.kind, f.again) for f in photo_faults(Prepared(soft, None, ()), 12.0)]
    [('blurred', True)]
    """
    k = min(1.0, SIDE / max(ready.rgb.shape))
    rgb = ready.rgb
    if k < 1:
        rgb = np.asarray(cv2.resize(rgb, None, fx=k, fy=k, interpolation=cv2.INTER_AREA), np.uint8)
    per_inch = ready.rgb.shape[1] / width_in
    sharp = tuple(_sharpness(rgb, per_inch, min(ready.rgb.shape[:2])))
    blurred = any(f.kind == "blurred" for f in sharp)
    copies = lighting.light_by_copies(rgb, width_in, vectors_in) if len(vectors_in) == 2 else None
    # what is printed ends as softly as a shadow in a blurred photo
    lights = [] if blurred and not plain else [lighting.seen_light(rgb)]
    lights += [copies[0]] if copies else []
    fall = lighting.fall_off(lights[-1]) if plain or copies else 1.0
    hidden = copies[1] if copies else 0.0
    return (*sharp, *_bright(rgb), *_shades(lights, fall), *_covered(hidden), *_view(ready))


def _sharpness(rgb: Pixels, per_inch: float, least: int) -> Iterator[PhotoFault]:
    blur = blur_px(rgb)
    if blur is not None and blur > _BLUR:
        yield PhotoFault(
            "blurred",
            blur,
            "the photo is blurred",
            "hold the phone with both hands, or rest it on something, and tap on the cloth before "
            "you press",
            blur > _STRONG_BLUR,
        )
    if per_inch < _PER_INCH and least >= 200:  # below, the reading says so itself
        yield PhotoFault(
            "few pixels",
            per_inch,
            f"only {per_inch:.0f} pixels show an inch of cloth, so small motifs are lost",
            "go nearer, until the cloth fills most of the photo",
            True,
        )


def _bright(rgb: Pixels) -> Iterator[PhotoFault]:
    burnt, glare = lighting.burnt_share(rgb), lighting.glare_share(rgb)
    if burnt > _BURNT:
        yield PhotoFault(
            "burnt",
            burnt,
            f"{burnt:.0%} of the cloth is burnt out to white",
            "use no flash, and tap on the palest part of the cloth before you press",
            burnt > _STRONG_BURNT,
        )
    elif glare > _GLARE:
        yield PhotoFault(
            "glare",
            glare,
            "light glares on the cloth",
            "use no flash and no lamp above it, but a window at the side",
            True,
        )


def _shades(lights: Sequence[lighting.Floats], fall: float) -> Iterator[PhotoFault]:
    length = max(map(lighting.shadow_length, lights), default=0.0)
    if length > _SHADOW:
        yield PhotoFault(
            "shadow",
            length,
            "a hard shadow lies across the cloth",
            "go out of the sun, and do not stand between window and cloth",
            True,
        )
    elif fall > _FALL:
        yield PhotoFault(
            "uneven light",
            fall,
            f"one part of the cloth is {fall:.1f} times as light as another",
            "go a step away from the window or lamp",
            fall > _STRONG_FALL,
        )


def _covered(hidden: float) -> Iterator[PhotoFault]:
    if hidden > _HIDDEN:
        yield PhotoFault(
            "covered",
            hidden,
            f"something lies on at least {hidden:.0%} of the cloth",
            "clear the cloth: ruler, hand and scissors go beside it",
            hidden > _STRONG_HIDDEN,
        )


def _view(ready: Prepared) -> Iterator[PhotoFault]:
    """What the camera's place and the table round the cloth tell; nothing where none is seen."""
    view = ready.view
    if view is None:
        return
    if view.brightest < _DARK:
        yield PhotoFault(
            "dark", view.brightest, "the photo is too dark", "take it by day, near a window", True
        )
    if view.steep:
        yield PhotoFault(
            "tilted",
            view.tilt_deg,
            f"it was seen {view.tilt_deg:.0f} degrees from straight above",
            "hold the phone flat, straight above the middle of the cloth",
            view.tilt_deg > _STRONG_TILT,
        )
    if view.cut:
        yield PhotoFault(
            "cut off",
            len(view.cut),
            f"the cloth runs out of the photo at the {' and the '.join(view.cut)}, and only what "
            "is seen is read",
            "have all of the cloth in the photo, and a hand's breadth of table round it",
            False,
        )
    if not view.white:
        yield PhotoFault(
            "colour unknown",
            1.0,
            "colours are only roughly right, as nothing white is in view",
            "lay a sheet of white paper beside the cloth",
            False,
        )
