"""``quiltgeom read``."""

from pathlib import Path
from typing import Any

import click

from quiltgeom.cli.output_options import FORCE, check_outputs, say
from quiltgeom.cli.photo_options import ask_owner, photo_options, read_photo
from quiltgeom.cli.types import FILE, PLACE, SIZE, opt, pictures
from quiltgeom.units import about_inches


@click.command(name="read")
@click.argument("photo", type=PLACE)
@photo_options
@opt("--size", "Real width and height between the corners, if known, e.g. 12inx9in.", SIZE)
@FORCE
@opt("--json as_json", "Print the reading as JSON.")
@pictures("Draw what was found: .svg, .png or .pdf; may be given several times.")
@opt("--save", "Save the reading beside the photo.")
@opt(
    "--corrected PICTURE",
    "Write the photo as it was straightened and balanced, for preview and advise.",
    FILE,
)
def command(outputs: tuple[Path, ...], corrected: Path | None, **options: Any) -> None:
    """Read a swatch: design, repeat, direction, motif size, loudness, colours and value.

    At a terminal you are asked one question where the reading is unsure; Enter skips it.

    \b
    Examples:
      quiltgeom read kelp.jpg --width 12in
      quiltgeom read kelp.jpg --width 12in --direction one-way --save -o kelp-reading.png
      quiltgeom read table.jpg --width 12in --corners "310,220 2105,260 2060,1990 280,1930"
      quiltgeom read table.jpg --width 12in --even-light --corrected kelp.jpg
      quiltgeom read table.jpg --points "410,300 1610,300" --apart 6in --white "40,40 180,160"
    """
    check_outputs([*outputs, corrected], [options["photo"]], force=options["force"])
    swatch = read_photo(options, size=options["size"])
    swatch = swatch.with_corrections(ask_owner(swatch))
    for output in outputs:
        swatch.save(output)
    if options["save"]:
        swatch.keep()
    if corrected is not None:
        swatch.save_corrected(corrected)
        wide = about_inches(swatch.reading.width_in)
        click.echo(f"wrote {corrected}, {wide} wide", err=True)
    say(swatch, options)
