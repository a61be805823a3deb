"""The picture of a reading: the swatch with its repeat, up, motifs, palette and value.

And the photo as it was straightened and balanced.
"""

import io
import math
from pathlib import Path as FilePath

import numpy as np
from PIL import Image

from quiltgeom.colour import munsell_value, srgb_to_linear
from quiltgeom.documents.photo_again import with_drawing
from quiltgeom.documents.question_picture import question_items
from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.cloth import Cloth
from quiltgeom.fabric.image import image_info
from quiltgeom.fabric.photo.prepare import AS_TAKEN, Calibration, prepare_file
from quiltgeom.fabric.reading.as_fabric import swatch_picture
from quiltgeom.fabric.reading.directions.direction import SURE_DIRECTION
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.fabric.reading.reading_words import facts
from quiltgeom.fabric.reading.repeats.repeat_lattice import reduce_basis
from quiltgeom.files import write_whole
from quiltgeom.geometry.outline import rectangle
from quiltgeom.outputs.stamps import stamped
from quiltgeom.render.scene import ClothPaint, Fill, Item, Scene, Solid, Stroke, line_path, path_of
from quiltgeom.render.text import text_items

_INK = "#1d2b3a"
_MARK = "#e8372c"
_SHEET = 8.0  # inches: width of the swatch on the sheet
_MARGIN = 0.35
_SIDE = 3.5  # the column of words


def reading_picture(
    picture: str | FilePath, reading: Reading, calibration: Calibration = AS_TAKEN
) -> Scene:
    """Draw a reading over its swatch; a photo that was straightened is drawn as it was read.

    Args:
        calibration: what the photo was prepared with.

    Returns:
        A sheet: swatch at left with one repeat cell, an up arrow and motif boxes; words at right;
        palette with shares and names, and the value scale, below; under them the reading's
        question, if it has one, and last how to take the photo again where it should be.
    """
    shown = swatch_picture(FilePath(picture), reading, calibration)
    info = image_info(shown)
    k = _SHEET / reading.width_in
    height = reading.height_in * k
    cloth = Cloth(shown, reading.width_in, reading.height_in, (info.width, info.height))
    swatch = path_of(rectangle(_MARGIN, _MARGIN, _SHEET, height))
    items: list[Item] = [Fill(swatch, ClothPaint(cloth, (k, 0, 0, k, _MARGIN, _MARGIN)))]
    items += _motifs(reading, k) + _cell(reading, k) + _up(reading, height)
    items += _words(reading) + _palette(reading, _MARGIN + height + 0.3)
    items += _value(reading, _MARGIN + height + 1.65)
    total_h = max(height, 5.2) + 2 * _MARGIN + 2.2
    if question := question_items(reading, cloth, _MARGIN, total_h):
        items, total_h = items + question, total_h + 4.9
    sheet = Scene(_SHEET + _SIDE + 3 * _MARGIN, total_h).with_items(*items, label="reading")
    return with_drawing(sheet, reading.photo)


def _line(
    points: list[tuple[float, float]], width: float, colour: str = _MARK, *, closed: bool = False
) -> list[Item]:
    """A line with a white edge, to be seen on any print."""
    path = line_path(points, closed=closed)
    return [Stroke(path, width * 2.4, "#ffffff", 0.85), Stroke(path, width, colour)]


def repeat_cell(reading: Reading) -> list[tuple[float, float]]:
    """Corners of one repeat, inches from the picture's top left; empty where none was found.

    It lies near the middle and round a motif: a rectangle, or the two vectors' cell.
    """
    r = reading.repeat
    if not r.vectors_in:
        return []
    cx, cy = _middle_motif(reading)
    (ax, ay), *rest = r.vectors_in
    bx, by = rest[0] if rest else _unit_across(ax, ay, min(reading.width_in, 2.0))
    if r.size_in and max(r.size_in[0] / reading.width_in, r.size_in[1] / reading.height_in) < 1:
        a = math.radians(r.turn_deg)
        ax, ay = r.size_in[0] * math.cos(a), r.size_in[0] * math.sin(a)
        bx, by = -r.size_in[1] * math.sin(a), r.size_in[1] * math.cos(a)
    elif rest:  # a centred rectangle wider than the swatch: its slanted cell, half as large
        (ax, ay), (bx, by) = reduce_basis(np.array(r.vectors_in)).tolist()
    xs, ys = (0.0, ax, bx, ax + bx), (0.0, ay, by, ay + by)
    x0 = _kept(cx - (ax + bx) / 2, xs, reading.width_in)
    y0 = _kept(cy - (ay + by) / 2, ys, reading.height_in)
    return [(x0, y0), (x0 + ax, y0 + ay), (x0 + ax + bx, y0 + ay + by), (x0 + bx, y0 + by)]


def _cell(reading: Reading, k: float) -> list[Item]:
    points = [(_MARGIN + x * k, _MARGIN + y * k) for x, y in repeat_cell(reading)]
    return _line(points, 0.035, closed=True) if points else []


def _kept(start: float, offsets: tuple[float, ...], size: float) -> float:
    """The start moved so that all offsets from it lie in 0 .. size, if they can."""
    low, high = -min(offsets), size - max(offsets)
    return min(max(start, low), high) if low <= high else (low + high) / 2


def _middle_motif(reading: Reading) -> tuple[float, float]:
    middle = (reading.width_in / 2, reading.height_in / 2)
    centres = [(x + w / 2, y + h / 2) for x, y, w, h in reading.motif.boxes]
    return min(centres, key=lambda c: math.dist(c, middle), default=middle)


def _unit_across(x: float, y: float, length: float) -> tuple[float, float]:
    n = math.hypot(x, y)
    return -y / n * length, x / n * length


def _motifs(reading: Reading, k: float) -> list[Item]:
    out: list[Item] = []
    for x, y, w, h in reading.motif.boxes:
        box = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
        at = [(_MARGIN + p * k, _MARGIN + q * k) for p, q in box]
        out += _line(at, 0.012, "#0b62c4", closed=True)
    return out


def _up(reading: Reading, height: float) -> list[Item]:
    if reading.direction.up_deg is None:
        return []
    a = math.radians(reading.direction.up_deg)
    r = min(_SHEET, height) * 0.09
    cx, cy = _MARGIN + _SHEET - 1.5 * r, _MARGIN + 1.5 * r

    c, s = math.cos(a), math.sin(a)

    shape = [(0, -1), (0.6, -0.2), (0.22, -0.2), (0.22, 1), (-0.22, 1), (-0.22, -0.2), (-0.6, -0.2)]
    turned = [(cx + r * (x * c - y * s), cy + r * (x * s + y * c)) for x, y in shape]
    path = line_path(turned, closed=True)
    fill = _MARK if reading.direction.confidence >= SURE_DIRECTION else "#f2a03d"
    return [Fill(path, Solid(fill)), Stroke(path, 0.03, "#ffffff")]


def _words(reading: Reading) -> list[Item]:
    x, y = _MARGIN * 2 + _SHEET, _MARGIN + 0.25
    out: list[Item] = []
    for head, body in facts(reading):
        out += text_items(head, x, y, 9, colour="#6b7785")
        out += text_items(body, x, y + 0.24, 13, colour=_INK)
        y += 0.62
    return out


def _palette(reading: Reading, y: float) -> list[Item]:
    x, width = _MARGIN, _SHEET + _SIDE + _MARGIN
    step, out = width / len(reading.palette), list[Item]()
    for i, c in enumerate(reading.palette):
        w = c.share * width
        out.append(Fill(path_of(rectangle(x, y, w, 0.5)), Solid(c.hex)))
        x += w
        at = _MARGIN + i * step
        out.append(Fill(path_of(rectangle(at, y + 0.62, 0.16, 0.16)), Solid(c.hex)))
        out += text_items(f"{c.share:.0%}", at + 0.22, y + 0.76, 8, colour=_INK)
        out += text_items(c.name, at, y + 0.95, 7, colour=_INK)
    return [*out, Stroke(path_of(rectangle(_MARGIN, y, width, 0.5)), 0.01, _INK)]


def _value(reading: Reading, y: float) -> list[Item]:
    """The Munsell scale in 20 greys, with the print's mean and its range."""
    width, out = _SHEET + _SIDE + _MARGIN, list[Item]()
    for i, grey in enumerate(value_greys()):
        x = _MARGIN + i * width / 20
        out.append(Fill(path_of(rectangle(x, y, width / 20, 0.22)), Solid(grey)))
    own = reading.value
    low, mean, high = (_MARGIN + v / 10 * width for v in (own.low, own.munsell, own.high))
    out += _line([(low, y + 0.3), (high, y + 0.3)], 0.03, _INK)
    mark = [(mean, y + 0.22), (mean + 0.08, y + 0.4), (mean - 0.08, y + 0.4)]
    return [*out, Fill(line_path(mark, closed=True), Solid(_MARK))]


def value_greys() -> list[str]:
    """The Munsell scale from black to white in 20 greys, ``#rrggbb``.

    >>> len(value_greys())
    20
    """
    values = munsell_value(100 * srgb_to_linear(np.arange(256) / 255))
    known = {round(float(v) * 2): g for g, v in enumerate(values)}
    greys = [known.get(i, known.get(i + 1, 0)) for i in range(20)]
    return [f"#{g:02x}{g:02x}{g:02x}" for g in greys]


def write_corrected(
    path: str | FilePath, output: str | FilePath, width_in: float, known: Calibration = AS_TAKEN
) -> FilePath:
    """Write the prepared photo as a picture of its own, its density stated, for previews and
    advice.

    Args:
        path: the photo.
        output: .png, .jpg or .jpeg; not the photo itself.
        width_in: real width of the prepared picture, inches, as read.

    Raises:
        QuiltValueError: another ending, or the photo itself.
        QuiltFileError: as of
            :func:`~quiltgeom.fabric.photo.prepare.prepare_file`, or it cannot be written.
    """
    output = FilePath(output)
    kind = {".png": "PNG", ".jpg": "JPEG", ".jpeg": "JPEG"}.get(output.suffix.lower())
    if kind is None:
        raise QuiltValueError(f"corrected picture: found {output.name}; accepted: .png, .jpg")
    if output.resolve() == FilePath(path).resolve():
        raise QuiltValueError("corrected picture: found the photo itself; accepted: another name")
    rgb = prepare_file(path, known).rgb
    density = rgb.shape[1] / width_in
    out = io.BytesIO()
    Image.fromarray(rgb).save(out, kind, quality=93, dpi=(density, density))
    return write_whole(output, stamped(out.getvalue(), output.suffix, cloth=True))
