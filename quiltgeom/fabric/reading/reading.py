"""The whole reading of a swatch: computed, saved beside the picture, corrected by its user."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from quiltgeom.checks import brief
from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.photo.calibrate import even_light
from quiltgeom.fabric.photo.faults.photo_faults import PhotoFault
from quiltgeom.fabric.reading.designs.print_design import NOT_LOOKED_FOR, PrintDesign, read_design
from quiltgeom.fabric.reading.directions.direction import (
    SURE_DIRECTION,
    DirectionReading,
    read_direction,
)
from quiltgeom.fabric.reading.motif import MotifReading, print_scale, read_motifs
from quiltgeom.fabric.reading.palette import SIDE, PaletteColour, read_palette
from quiltgeom.fabric.reading.pixels import check_rgb, shrink
from quiltgeom.fabric.reading.print_question import (
    PrintQuestion,
    direction_question,
    repeat_question,
)
from quiltgeom.fabric.reading.repeats.repeat import (
    SURE_REPEAT,
    RepeatReading,
    read_repeat,
    stated_repeat,
)
from quiltgeom.fabric.reading.value import (
    SOLID,
    Chroma,
    Value,
    read_chroma,
    read_loudness,
    read_value,
)
from quiltgeom.library.corrections import check_corrections
from quiltgeom.model.fabric import REPEATS


@dataclass(frozen=True, slots=True, repr=False)
class Reading:
    """What a swatch says about its print. Lengths in inches, angles in degrees clockwise.

    Attributes:
        width_in, height_in: real size of the picture.
        repeat, direction, motif, palette, value, chroma: see their classes.
        loudness: 0 (solid) .. 1 (loud).
        notes: what the user should know about the picture itself.
        corrections: what the user said instead; kept when the swatch is read again.
        corners_px: of the cloth, where it was found on a table: ``(x, y)`` of the photo (at most
            3600 pixels a side), clockwise from the top left.
        photo: what hurts the photo.
        design: what a shop calls such a print, and what that means for cutting.
    """

    width_in: float
    height_in: float
    repeat: RepeatReading
    direction: DirectionReading
    motif: MotifReading
    loudness: float
    palette: tuple[PaletteColour, ...]
    value: Value
    chroma: Chroma
    notes: tuple[str, ...] = ()
    corrections: tuple[tuple[str, str | float], ...] = ()
    corners_px: tuple[tuple[float, float], ...] = ()
    photo: tuple[PhotoFault, ...] = ()
    design: PrintDesign = NOT_LOOKED_FOR

    def __repr__(self) -> str:
        print_ = f"{self.repeat.kind} repeat, {self.direction.kind}"
        size = f"{self.width_in:.4g} x {self.height_in:.4g} in"
        return brief(f"Reading of {size}, {print_}, loudness {self.loudness:.2f}")

    @property
    def scale(self) -> str | None:
        """``small``, ``medium`` or ``large`` by typical motif size; None without motifs."""
        return None if self.motif.typical is None else print_scale(self.motif.typical)

    @property
    def remarks(self) -> tuple[str, ...]:
        """All that the user should know about the picture: its notes, and what hurts it."""
        return (*self.notes, *(f.words for f in self.photo))

    @property
    def question(self) -> PrintQuestion | None:
        """The one question whose answer would help most; None where all that matters is sure.

        What could spoil cloth comes first: whether the print may be turned upside down. What its
        owner said already is not asked, nor anything of cloth that reads as solid.
        """
        if self.loudness <= SOLID or self.design.kind == "unknown":
            return None
        said, d, r = dict(self.corrections), self.direction, self.repeat
        if "direction" not in said and d.confidence < SURE_DIRECTION:
            return direction_question(d.figure)
        if r.size_in and r.confidence < SURE_REPEAT and r.kind in REPEATS:
            return repeat_question(r.kind, *r.size_in)
        return None

    def to_json(self) -> dict[str, Any]:
        """The reading as plain data, rounded to what can be known from a photo."""
        data = {
            "width_in": self.width_in,
            "height_in": self.height_in,
            "repeat": asdict(self.repeat),
            "direction": asdict(self.direction),
            "motif_in": {
                "typical": self.motif.typical,
                "largest": self.motif.largest,
                "confidence": self.motif.confidence,
                "scale": self.scale,
            },
            "loudness": self.loudness,
            "palette": [asdict(c) for c in self.palette],
            "value": asdict(self.value),
            "chroma": asdict(self.chroma),
            "notes": list(self.notes),
            "corrections": dict(self.corrections),
            "design": asdict(self.design),
            "question": self.question and self.question.to_json(),
        }
        if self.corners_px:
            data["corners_px"] = self.corners_px
        if self.photo:
            data["photo"] = [asdict(f) for f in self.photo]
        rounded: dict[str, Any] = _rounded(data)
        return rounded


def _rounded(data: Any) -> Any:
    if isinstance(data, float):
        return round(data, 4) + 0.0
    if isinstance(data, dict):
        return {k: _rounded(v) for k, v in data.items()}
    return [_rounded(v) for v in data] if isinstance(data, list | tuple) else data


_FAINT = 0.12  # loudness


def read_array(
    rgb: NDArray[np.uint8],
    width_in: float,
    *,
    corrections: Mapping[str, str | float] | None = None,
    notes: tuple[str, ...] = (),
    repeat: RepeatReading | None = None,
) -> Reading:
    """Read a swatch given as pixels.

    Args:
        rgb: ``(h, w, 3)`` uint8, upright, the cloth filling the picture.
        corrections: the user's word: ``direction``, ``up_deg``, ``motif_in``, ``repeat_width_in``
            with ``repeat_height_in`` and ``repeat_kind`` (left out: as found, else straight), in
            the numbers of a :class:`~quiltgeom.model.fabric.Repeat`. It wins over what was found.
        repeat: of the print, where it was found before.

    Raises:
        QuiltValueError: not a picture, a width that is not positive, unknown corrections.

    >>> plain = read_array(np.full((64, 64, 3), (190, 0, 50), dtype=np.uint8), 5.0)
    >>> plain.repeat.kind, plain.palette[0].name, plain.value.name
    ('plain', 'vivid red', 'dark')
    """
    rgb = check_rgb(rgb)
    check_width(width_in)
    repeat = read_repeat(rgb, width_in) if repeat is None else repeat
    # a print that repeats (or none) has no slow change of its own: what there is, is the light
    flat = repeat.vectors_in or repeat.kind == "plain"
    lit = even_light(shrink(rgb, SIDE)) if flat else rgb
    palette = read_palette(lit)
    loudness = read_loudness(rgb, width_in)
    # a faint weave or mottle without a repeat has no things on it
    plain = repeat.kind in ("plain", "stripe") or (not repeat.vectors_in and loudness < _FAINT)
    motif = MotifReading(None, None) if plain else read_motifs(rgb, width_in, palette)
    direction = read_direction(rgb, width_in, repeat, motif.typical, loudness, motif.confidence)
    if direction.figure == "plaid":
        motif = MotifReading(None, None)
    height = width_in * rgb.shape[0] / rgb.shape[1]
    read = repeat, direction, motif, loudness, palette, read_value(rgb), read_chroma(palette)
    design = read_design(rgb, width_in, repeat, direction, palette, loudness)
    reading = Reading(width_in, height, *read, notes, design=design)
    return corrected(reading, corrections or {})


def check_width(width_in: float) -> None:
    """Refuse a width that no swatch has.

    Raises:
        QuiltValueError: as of :func:`read_array`.
    """
    if not 0 < width_in <= 1000:
        raise QuiltValueError(f"swatch width: found {width_in!r}; accepted: inches above 0")


def corrected(reading: Reading, said: Mapping[str, str | float]) -> Reading:
    """The same with its owner's word, as of :func:`read_array`; what was said before still holds.

    Raises:
        QuiltValueError: unknown corrections.
    """
    corrections: dict[str, str | float] = dict(reading.corrections) | dict(said)
    check_corrections(corrections)
    direction, motif, repeat = reading.direction, reading.motif, reading.repeat
    if "direction" in corrections:
        up = (direction.up_deg or 0.0) if corrections["direction"] == "one-way" else None
        direction = replace(
            direction,
            kind=str(corrections["direction"]),
            up_deg=up,
            up_from="user",
            confidence=1.0,
            reason="by the user",
        )
    if "up_deg" in corrections:
        direction = replace(direction, up_deg=float(corrections["up_deg"]), up_from="user")
    if "motif_in" in corrections:
        size = float(corrections["motif_in"])
        motif = replace(motif, typical=size, largest=max(size, motif.largest or 0), confidence=1.0)
    if "repeat_width_in" in corrections:
        repeat = said_repeat(repeat, corrections)
        corrections.setdefault("repeat_kind", repeat.kind)
    kept = tuple(sorted(corrections.items()))
    return replace(reading, direction=direction, motif=motif, repeat=repeat, corrections=kept)


def said_repeat(found: RepeatReading, said: Mapping[str, str | float]) -> RepeatReading:
    """The repeat that its owner states, else the one that was found."""
    if "repeat_width_in" not in said:
        return found
    w, h = (float(said[f"repeat_{k}_in"]) for k in ("width", "height"))
    kind = found.kind if found.kind in REPEATS else "straight"
    return stated_repeat(w, h, str(said.get("repeat_kind", kind)))
