"""``quiltgeom companions``."""

from pathlib import Path
from typing import Any

import click

import quiltgeom as qg
from quiltgeom.cli.output_options import (
    FORCE,
    FROM,
    GROUND,
    bar,
    check_outputs,
    check_pictures,
    say,
)
from quiltgeom.cli.photo_options import photo_options, read_photo
from quiltgeom.cli.types import LENGTH, PLACE, Parsed, opt, parse_size, pictures
from quiltgeom.errors import QuiltValueError


def _need(text: str) -> tuple[str, tuple[float, float]]:
    role, mark, size = text.partition("=")
    if not mark or role.strip() not in ("background", "accent"):
        raise QuiltValueError(
            f"--need: found {text!r}; accepted: background=LENGTHxWIDTH or accent=LENGTHxWIDTH"
        )
    along, across = parse_size(size, what=f"--need {role.strip()}")
    return role.strip(), (across, along)


@click.command(name="companions")
@click.argument("photo", type=PLACE)
@FROM
@photo_options
@opt("--swatch-width", "Real width of the swatches' pictures.", LENGTH)
@GROUND
@opt(
    "--need ROLE=LENGTHxWIDTH",
    "Cloth wanted, length along the selvage first, e.g. background=54inx40in.",
    Parsed("cloth", _need),
    multiple=True,
)
@opt("--most", "How many of each.", click.IntRange(1, 50), default=6, show_default=True)
@pictures("Sheet of the first six trios sewn up: .svg, .png or .pdf.")
@opt("--pattern NAME|FILE", "Pattern of that sheet.")
@FORCE
@opt("--json as_json", "Print every verdict as JSON.")
def command(**options: Any) -> None:
    """Propose a quiet background and accent for a print, from what is on hand, with reasons.

    \b
    Examples:
      quiltgeom companions herons.jpg --width 12in --from swatches
      quiltgeom companions herons.jpg --width 12in --from swatches --ground dark -o trios.png
    """
    check_pictures(options["outputs"])
    place: Path = options["place"]
    shelf = place.rglob("*") if place.is_dir() else [place]
    check_outputs(options["outputs"], [options["photo"], *shelf], force=options["force"])
    names = ("swatch_width", "ground", "most", "pattern")
    swatch = read_photo(options)
    with bar("reading swatches") as step:
        found = qg.companions(
            swatch,
            place,
            need=dict(options["need"]),
            progress=step,
            **{name: options[name] for name in names},
        )
    for output in options["outputs"]:
        found.save(output, ppi=180)
        click.echo(f"wrote {output}", err=True)
    say(found, options, ascii=False)
