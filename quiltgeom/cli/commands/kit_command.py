"""``quiltgeom kit``."""

import json
from typing import Any

import click

import quiltgeom as qg
from quiltgeom.cli.cutting_options import cutting_options, planning, with_options
from quiltgeom.cli.output_options import FORCE, PAPER, VARIANT, bar
from quiltgeom.cli.types import FILE, FOLDER, opt


@click.command(name="kit")
@click.argument("design", type=FILE)
@opt("-o --output FOLDER", "Where the kit goes.", FOLDER, required=True)
@PAPER
@cutting_options
@VARIANT
@FORCE
@opt("--json as_json", "Print what was written as JSON.")
def command(**options: Any) -> None:
    """Make a folder with everything that a quilt needs: picture, cutting, sewing, templates.

    \b
    Examples:
      quiltgeom kit designs/harbour.toml -o harbour-kit --paper a4
      quiltgeom kit designs/harbour.toml -o harbour-kit --have "accent=4*fat-quarter" --bias
    """
    design = with_options(qg.load_design(options["design"]), options)
    with bar("kit") as step:
        step(0, 7)
        made = qg.kit(design, paper=options["paper"], **planning(options, design.units))
        files = made.save_folder(
            options["output"],
            inputs=[options["design"]],
            force=options["force"],
            progress=lambda _, done, total: step(done, total),
        ).files
    data = made.to_json() | {"files": [str(f) for f in files]}
    for note in data["notes"]:
        click.echo(f"note: {note}", err=True)
    if options["as_json"]:
        click.echo(json.dumps(data, indent=2))
        return
    for path in files:
        click.echo(f"wrote {path}")
