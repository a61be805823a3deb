"""``quiltgeom read``."""

from pathlib import Path
from typing import Any

import click

import quiltgeom as qg
from quiltgeom.cli.output_options import FORCE, check_outputs, say
from quiltgeom.cli.types import (
    DEGREES,
    FILE,
    LENGTH,
    PLACE,
    SIZE,
    Parsed,
    corrections,
    opt,
    pictures,
)
from quiltgeom.errors import QuiltValueError
from quiltgeom.model.fabric import DIRECTIONS, REPEATS
from quiltgeom.units import about_inches


def _numbers(count: int, shape: str) -> Parsed:
    """A parameter of so many numbers, between commas or spaces."""

    def parse(text: str) -> tuple[float, ...]:
        try:
            values = tuple(float(v) for v in text.replace(",", " ").split())
        except ValueError:
            values = ()
        if len(values) != count or not all(abs(v) <= 1e6 for v in values):
            raise QuiltValueError(f"found {text!r}; accepted: {shape}, in pixels")
        return values

    return Parsed(shape, parse)


def _white(text: str) -> object:
    return "auto" if text.strip() == "auto" else _AREA.parse(text)


_AREA = _numbers(4, "X0,Y0 X1,Y1")


@click.command(name="read")
@click.argument("photo", type=PLACE)
@opt("--width", "Real width of the photo, e.g. 12in.", LENGTH)
@FORCE
@opt("--json as_json", "Print the reading as JSON.")
@pictures("Draw what was found: .svg, .png or .pdf; may be given several times.")
@opt("--save", "Save the reading beside the photo.")
@opt(
    "--corrected PICTURE",
    "Write the photo as it was straightened and balanced, for preview and advise.",
    FILE,
)
@opt(
    "--corners",
    "Corners of the swatch in the photo, clockwise from its top left; give --size.",
    _numbers(8, "X,Y X,Y X,Y X,Y"),
)
@opt("--size", "Its real width and height, e.g. 12inx9in.", SIZE)
@opt("--points", "Two points; give --apart.", _numbers(4, "X,Y X,Y"))
@opt("--apart", "How far apart the two points really are.", LENGTH)
@opt(
    "--white",
    "Area of a white or grey card; auto looks for it at the photo's edge.",
    Parsed("X0,Y0 X1,Y1 or auto", _white),
)
@opt("--reflectance", "How light the card is: 0.18 grey, 0.85 paper.", float)
@opt("--even-light", "Take out light that falls off to one side.")
@opt("--direction", "Your word wins.", DIRECTIONS)
@opt("--up DEG", "Where the print's up points, clockwise.", DEGREES)
@opt("--motif", "Size of its motif, if you measured it.", LENGTH)
@opt("--repeat", "Its repeat.", LENGTH, metavar="WIDTH HEIGHT", nargs=2)
@opt("--repeat-kind", "Half-drop: WIDTH of a column; brick: HEIGHT of a row.", REPEATS)
def command(photo: Path, outputs: tuple[Path, ...], corrected: Path | None, **options: Any) -> None:
    """Read a swatch: repeat, direction, motif size, loudness, colours and value.

    \b
    Examples:
      quiltgeom read kelp.jpg --width 12in
      quiltgeom read kelp.jpg --width 12in --direction one-way --save -o kelp-reading.png
      quiltgeom read table.jpg --corners "310,220 2105,260 2060,1990 280,1930" --size 12inx12in
      quiltgeom read table.jpg --width 12in --even-light --corrected kelp.jpg
      quiltgeom read table.jpg --points "410,300 1610,300" --apart 6in --white "40,40 180,160"
    """
    words = corrections(options)
    if options["repeat_kind"]:
        words["repeat_kind"] = options["repeat_kind"]
    if options["repeat"]:
        words["repeat_width_in"], words["repeat_height_in"] = options["repeat"]
    check_outputs([*outputs, corrected], [photo], force=options["force"])
    swatch = qg.read(photo, options["width"], calibration=_calibration(options), **words)
    for output in outputs:
        swatch.save(output)
    if options["save"]:
        swatch.keep()
    if corrected is not None:
        swatch.save_corrected(corrected)
        wide = about_inches(swatch.reading.width_in)
        click.echo(f"wrote {corrected}, {wide} wide", err=True)
    say(swatch, options)


def _calibration(options: dict[str, Any]) -> qg.Calibration:

    def pairs(v: tuple[float, ...] | None) -> Any:
        return None if v is None else tuple(zip(v[::2], v[1::2], strict=True))

    auto = options["white"] == "auto"
    white = None if auto or options["white"] is None else tuple(round(v) for v in options["white"])
    return qg.Calibration(
        corners=pairs(options["corners"]),
        rectangle_in=options["size"],
        points=pairs(options["points"]),
        apart_in=options["apart"],
        white=white,
        reflectance=options["reflectance"],
        even=options["even_light"],
        find_white=auto,
    )
