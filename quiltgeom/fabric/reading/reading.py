"""The whole reading of a swatch: computed, saved beside the picture, corrected by its user."""

import json
import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from quiltgeom.checks import brief
from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.image import NO_WIDTH, image_info, load_image
from quiltgeom.fabric.photo.calibrate import even_light
from quiltgeom.fabric.photo.faults.photo_faults import PhotoFault, photo_faults
from quiltgeom.fabric.photo.prepare import AS_TAKEN, Calibration, prepare, prepare_file
from quiltgeom.fabric.photo.prepared import Prepared
from quiltgeom.fabric.reading.designs.print_design import NOT_LOOKED_FOR, PrintDesign, read_design
from quiltgeom.fabric.reading.directions.direction import (
    SURE_DIRECTION,
    DirectionReading,
    read_direction,
)
from quiltgeom.fabric.reading.motif import MotifReading, print_scale, read_motifs
from quiltgeom.fabric.reading.palette import SIDE, PaletteColour, read_palette
from quiltgeom.fabric.reading.pixels import check_rgb, check_size, shrink, shrink_picture
from quiltgeom.fabric.reading.print_question import (
    PrintQuestion,
    direction_question,
    repeat_question,
)
from quiltgeom.fabric.reading.repeats.repeat import (
    SURE_REPEAT,
    RepeatReading,
    against_outline,
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
from quiltgeom.fabric.source import PictureBytes, Source
from quiltgeom.files import write_whole
from quiltgeom.library.corrections import check_corrections, load_corrections, reading_path
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
_SHIFTS = {
    "half-drop": "half-drop: the width is that of one column; each next is half a height lower",
    "brick": "brick: the height is that of one row; each next is shifted by half the width",
}

COPIES = (
    "in pictures of the quilt the light is evened by the print's own copies, and what lies on the "
    "cloth is replaced by them"
)

QUICK_SIDE = 360
"""Pixels: enough for colours and motifs from a quarter of an inch on a 12-inch swatch."""


def read_array(
    rgb: NDArray[np.uint8],
    width_in: float,
    *,
    corrections: Mapping[str, str | float] | None = None,
    notes: tuple[str, ...] = (),
    photo: bool = False,
) -> Reading:
    """Read a swatch given as pixels.

    Args:
        rgb: ``(h, w, 3)`` uint8, upright, the cloth filling the picture.
        corrections: the user's word: ``direction``, ``up_deg``, ``motif_in``, ``repeat_width_in``
            with ``repeat_height_in`` and ``repeat_kind`` (left out: as found, else straight), in
            the numbers of a :class:`~quiltgeom.model.fabric.Repeat`. It wins over what was found.
        photo: whether it is a photograph of cloth (not a scan, nor the print itself).

    Raises:
        QuiltValueError: not a picture, a width that is not positive, unknown corrections.

    >>> plain = read_array(np.full((64, 64, 3), (190, 0, 50), dtype=np.uint8), 5.0)
    >>> plain.repeat.kind, plain.palette[0].name, plain.value.name
    ('plain', 'vivid red', 'dark')
    """
    rgb = check_rgb(rgb)
    _check_width(width_in)
    repeat = read_repeat(rgb, width_in, photo=photo)
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


def _check_width(width_in: float) -> None:
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
        w, h = (float(corrections[f"repeat_{k}_in"]) for k in ("width", "height"))
        found = repeat.kind if repeat.kind in REPEATS else "straight"
        kind = str(corrections.setdefault("repeat_kind", found))
        repeat = stated_repeat(w, h, kind)
    kept = tuple(sorted(corrections.items()))
    return replace(reading, direction=direction, motif=motif, repeat=repeat, corrections=kept)


def read_swatch(
    path: Source,
    width_in: float | None = None,
    *,
    corrections: Mapping[str, str | float] | None = None,
    keep: bool = True,
    calibration: Calibration = AS_TAKEN,
) -> Reading:
    """Read a swatch from a picture file.

    Args:
        path: the picture, or its bytes (beside which nothing can be saved).
        width_in: real width; None takes it from the calibration, or from the density that the
            file states.
        keep: whether corrections saved beside the picture still hold.
        calibration: what is known of the photo (corners, a white card, a distance).

    Raises:
        QuiltFileError: missing or damaged file, not a picture.
        QuiltValueError: no width given and none stated; picture too small.
    """
    ready = prepare_file(path, calibration)
    width, notes = _width(path, width_in, ready)
    if min(ready.rgb.shape[:2]) < 200:
        h, w = ready.rgb.shape[:2]
        notes.append(f"only {w} x {h} pixels: details cannot be read")
    saved = {} if isinstance(path, PictureBytes) or not keep else load_corrections(path)
    merged = saved | dict(corrections or {})
    taken = bool(ready.corners) or image_info(path).lens_mm is not None
    notes = [*notes, *ready.notes]
    read = read_array(ready.rgb, width, corrections=merged, notes=tuple(notes), photo=taken)
    if ready.corners and "repeat_width_in" not in merged:
        read = replace(read, repeat=against_outline(read.repeat))
    plain = read.repeat.kind == "plain"
    faults = photo_faults(ready, read.width_in, _sure_lattice(read.repeat), plain=plain)
    found = replace(read, corners_px=ready.corners, photo=faults)
    return replace(found, notes=(*found.notes, COPIES)) if is_mended(found) else found


def is_mended(reading: Reading) -> bool:
    """Whether pictures of the cloth are mended by its copies: it was found on a table, and its
    repeat is known."""
    return bool(reading.corners_px and _sure_lattice(reading.repeat))


def _sure_lattice(repeat: RepeatReading) -> tuple[tuple[float, float], ...]:
    """Two vectors of a repeat that is sure, else none."""
    sure = len(repeat.vectors_in) == 2 and repeat.confidence >= SURE_REPEAT
    return repeat.vectors_in if sure else ()


def read_quickly(path: Source, width_in: float | None = None) -> Reading:
    """Colours, value, loudness and motif size alone, without repeat and direction.

    It is what choosing among many swatches needs; the few that are chosen are then read in full.

    Args:
        width_in: real width; None takes the density that the file states.

    Raises:
        QuiltFileError: missing or damaged file, not a picture.
        QuiltValueError: no width given and none stated; picture too small.
    """
    info, picture = image_info(path), load_image(path, min_size=(QUICK_SIDE, QUICK_SIDE))
    check_size(*picture.size)
    ready = prepare(np.asarray(shrink_picture(picture, QUICK_SIDE)), AS_TAKEN, info.lens_mm)
    width_in, _ = _width(path, width_in, ready)
    _check_width(width_in)
    small = ready.rgb
    palette = read_palette(even_light(small))
    why = "not looked for in a quick reading"
    repeat = RepeatReading("none", confidence=0.0, reason=why)
    direction = DirectionReading("one-way", confidence=0.0, reason=f"unsure: {why}")
    seen = read_motifs(small, width_in, palette), read_loudness(small, width_in), palette
    value, notes = read_value(small), ("a quick reading: repeat and direction were not looked for",)
    h, w = small.shape[:2] if ready.corners or ready.scales else picture.size[::-1]
    height = width_in * h / w
    chroma = read_chroma(palette)
    return Reading(width_in, height, repeat, direction, *seen, value, chroma, notes)


def _width(path: Source, given: float | None, ready: Prepared) -> tuple[float, list[str]]:
    """The real width of what is read, and a remark if photo or file say another."""
    info = image_info(path)
    seen: list[str] = []
    known, by, within = info.width / info.ppi if info.ppi else None, "file", 0.1
    if ready.width_in is not None:
        known, by, within = ready.width_in, "photo", 0.05
    elif ready.corners or ready.scales:  # with a table in it the file's density says nothing
        known = ready.scales[0].width_in if ready.scales else None
        by, seen = _told_apart(ready)
    if given is None:
        if known is None:
            raise QuiltValueError(
                f"picture {path}: {NO_WIDTH}; accepted: a width, such as width=12"
            )
        return known, [f"by the {by} it is {known:.1f} in wide", *seen] if ready.scales else []
    given *= ready.kept
    if known is None or abs(known - given) <= within * given:
        return (known if known is not None and by == "photo" else given), seen
    if by == "photo":
        return known, [
            f"the given width of {given:g} in was not used: the photo says {known:.2f} in"
        ]
    if by == "file":
        by = f"file states {info.ppi:.0f} pixels per inch, which would make it {known:.1f} in wide"
    else:
        by = f"{by} says {known:.1f} in"
    return given, [f"the {by}; the given width of {given:.4g} in was used", *seen]


def _told_apart(ready: Prepared) -> tuple[str, list[str]]:
    """The surest thing of known size in a photo, and what others say that do not agree with it."""
    if not ready.scales:
        return "photo's things", []
    best, *others = ready.scales
    apart = [
        f"the {o.by} says {o.width_in:.1f} in, the {best.by} {best.width_in:.1f} in: measure the "
        "cloth"
        for o in others
        if abs(o.width_in / best.width_in - 1) > o.within + best.within
    ]
    return best.by, apart


def save_reading(reading: Reading, picture: str | Path) -> Path:
    """Save a reading beside its picture (whole or not at all)."""
    text = json.dumps(reading.to_json(), indent=2, ensure_ascii=False) + "\n"
    return write_whole(reading_path(picture), text.encode("utf-8"))


def facts(reading: Reading) -> list[tuple[str, str]]:
    """The reading as (heading, words) for people."""
    r, d, m = reading.repeat, reading.direction, reading.motif
    size = f" {r.size_in[0]:.2f} x {r.size_in[1]:.2f} in" if r.size_in else ""
    if r.kind == "stripe":
        size = f" every {math.hypot(*r.vectors_in[0]):.2f} in"
    motif = "none found"
    if m.typical is not None and m.largest is not None:
        motif = f"{reading.scale}: {m.typical:.1f} in, largest {m.largest:.1f} in"
    sure = "" if d.confidence >= SURE_DIRECTION else " (unsure)"
    figure = "" if d.figure in ("print", "plain") else f"{d.figure}, "
    again = ", ".join(f.kind for f in reading.photo if f.again)
    return [
        ("Design", reading.design.name),
        ("Repeat", f"{r.kind}{size}"),
        ("Direction", f"{figure}{d.kind}{sure}"),
        ("Motif", motif),
        ("Loudness", f"{reading.loudness:.2f} of 1"),
        ("Value", f"{reading.value.name} ({reading.value.munsell:.1f} of 10)"),
        ("Colour", f"{reading.chroma.name}, {reading.chroma.temperature}"),
        *([("Photo", f"take it again: {again}")] if again else []),
    ]


def describe(reading: Reading) -> list[str]:
    """The reading in lines of text, with the palette, reasons and notes."""
    lines = [f"{head + ':':<11}{body}" for head, body in facts(reading)]
    lines += [f"{'':<11}{c.share:>4.0%}  {c.hex}  {c.name}" for c in reading.palette]
    if reading.design.details:
        lines.append(f"For cutting: {reading.design.details}")
    for head, why in (("repeat", reading.repeat.reason), ("direction", reading.direction.reason)):
        if why:
            lines.append(f"Why ({head}): {why}")
    means = _SHIFTS.get(reading.repeat.kind)
    lines += [f"Note: {n}" for n in (*([means] if means else []), *reading.remarks)]
    return lines + (reading.question.lines() if reading.question else [])
