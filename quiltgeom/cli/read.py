"""``quiltgeom read``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from quiltgeom.cli.types import LENGTH
from quiltgeom.model.fabric import DIRECTIONS


@click.command(name="read")
@click.argument("photo", type=click.Path(path_type=Path))
@click.option("--width", type=LENGTH, help="Real width of the photo, e.g. 12in.")
@click.option("--json", "as_json", is_flag=True, help="Print the reading as JSON.")
@click.option("-o", "--output", "outputs", multiple=True, metavar="PICTURE",
              type=click.Path(dir_okay=False, path_type=Path),
              help="Draw what was found: .svg, .png or .pdf; may be given several times.")
@click.option("--save", is_flag=True, help="Save the reading beside the photo.")
@click.option("--direction", type=click.Choice(DIRECTIONS), help="Your word wins.")
@click.option("--up", type=float, metavar="DEG", help="Where the print's up points, clockwise.")
@click.option("--motif", type=LENGTH, help="Size of its motif, if you measured it.")
@click.option("--repeat", nargs=2, type=LENGTH, metavar="WIDTH HEIGHT", help="Its repeat.")
def command(photo: Path, width: float | None, as_json: bool, outputs: tuple[Path, ...],
            save: bool, **said: Any) -> None:  # fmt: skip
    """Read a swatch: repeat, direction, motif size, loudness, colours and value.

    \b
    Examples:
      quiltgeom read kelp.jpg --width 12in
      quiltgeom read kelp.jpg --width 12in --direction one-way --save -o kelp-reading.png
    """
    from quiltgeom.documents.reading_picture import draw_reading
    from quiltgeom.fabric.reading.reading import describe, read_swatch, save_reading

    names = {"direction": said["direction"], "up_deg": said["up"], "motif_in": said["motif"]}
    if said["repeat"]:
        names["repeat_width_in"], names["repeat_height_in"] = said["repeat"]
    corrections = {k: v for k, v in names.items() if v is not None}
    reading = read_swatch(photo, width, corrections=corrections)
    for output in outputs:
        draw_reading(photo, reading, output)
    if save:
        save_reading(reading, photo)
    text = json.dumps(reading.to_json(), indent=2) if as_json else "\n".join(describe(reading))
    click.echo(text)
