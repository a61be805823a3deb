"""A swatch read from its file: prepared, read, with what was said of it before."""

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np

from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.image import NO_WIDTH, image_info, load_image
from quiltgeom.fabric.photo.calibrate import even_light
from quiltgeom.fabric.photo.faults.photo_faults import photo_faults
from quiltgeom.fabric.photo.own_copies import mended
from quiltgeom.fabric.photo.prepare import AS_TAKEN, Calibration, prepare, prepare_file
from quiltgeom.fabric.photo.prepared import Prepared
from quiltgeom.fabric.reading.directions.direction import DirectionReading
from quiltgeom.fabric.reading.motif import read_motifs
from quiltgeom.fabric.reading.palette import read_palette
from quiltgeom.fabric.reading.pixels import check_size, shrink, shrink_picture
from quiltgeom.fabric.reading.reading import Reading, check_width, read_array, said_repeat
from quiltgeom.fabric.reading.repeats.repeat import (
    SURE_REPEAT,
    RepeatReading,
    against_outline,
    read_repeat,
)
from quiltgeom.fabric.reading.value import read_chroma, read_loudness, read_value
from quiltgeom.fabric.source import PictureBytes, Source
from quiltgeom.files import write_whole
from quiltgeom.library.corrections import check_corrections, load_corrections, reading_path

COPIES = (
    "the light is evened by the print's own copies, and what lies on the cloth is replaced by them"
)

_MENDED_SIDE = 1200
"""Pixels: nothing is read finer than this."""

QUICK_SIDE = 360
"""Pixels: enough for colours and motifs from a quarter of an inch on a 12-inch swatch."""


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
    notes = [*notes, *ready.notes]
    check_corrections(merged)
    check_width(width)
    repeat = said_repeat(_repeat(path, ready, width), merged)
    lattice = _sure_lattice(repeat) if ready.corners else ()
    alone = mended(shrink(ready.rgb, _MENDED_SIDE), width, lattice) if lattice else None
    pixels = ready.rgb if alone is None else alone.rgb
    read = read_array(pixels, width, corrections=merged, notes=tuple(notes), repeat=repeat)
    plain = read.repeat.kind == "plain"
    faults = photo_faults(ready, read.width_in, _sure_lattice(read.repeat), plain=plain)
    height = width * ready.rgb.shape[0] / ready.rgb.shape[1]
    found = replace(read, height_in=height, corners_px=ready.corners, photo=faults)
    return replace(found, notes=(*found.notes, COPIES)) if alone else found


def _repeat(path: Source, ready: Prepared, width_in: float) -> RepeatReading:
    photo = bool(ready.corners) or image_info(path).lens_mm is not None
    repeat = read_repeat(ready.rgb, width_in, photo=photo)
    return against_outline(repeat) if ready.corners else repeat


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
    check_width(width_in)
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
