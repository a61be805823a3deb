"""``quiltgeom marker``."""

from pathlib import Path
from typing import Any

import click

from quiltgeom.cli.output_options import FORCE, PAPER, check_outputs, say
from quiltgeom.cli.types import opt, pictures


@click.command(name="marker")
@pictures("The page to print: .pdf, .svg or .png.")
@PAPER
@FORCE
@opt("--json as_json", "Print facts as JSON.")
def command(outputs: tuple[Path, ...], **options: Any) -> None:
    """A marker sheet to print: beside the cloth it tells a photo's scale and colour.

    \b
    Examples:
      quiltgeom marker -o marker.pdf
      quiltgeom marker --paper a4 -o marker.pdf
    """
    from quiltgeom.jobs.make import marker_sheet

    check_outputs(outputs, [], force=options["force"])
    made = marker_sheet(options["paper"])
    for output in outputs:
        made.save(output)
        click.echo(f"wrote {output}", err=True)
    say(made, options)
