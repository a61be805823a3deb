"""``quiltgeom values``."""

import json
from typing import Any

import click

from quiltgeom.cli.output_options import (
    FORCE,
    PATTERN,
    check_outputs,
    design_inputs,
    file_or_pattern,
)
from quiltgeom.cli.types import FILE, fabric_option, opt, pictures
from quiltgeom.matching.verdicts import MARKS


@click.command(name="values")
@click.argument("design", required=False, type=FILE)
@PATTERN
@fabric_option("Fabric of a role.")
@pictures("The greyscale picture: .svg, .png or .pdf.")
@FORCE
@opt("--json as_json", "Print the answer as JSON.")
def command(**options: Any) -> None:
    """The greyscale check: do the pieced shapes separate in light and dark alone?

    \b
    Examples:
      quiltgeom values herons.toml -o greys.png
      quiltgeom values --pattern gull-cove --fabric background=#f3ead8 --fabric accent=#e9d5a6
    """
    from quiltgeom.matching.verdicts import OUTCOME_WORDS
    from quiltgeom.render.answer import save_scene
    from quiltgeom.render.greyscale_check import separation

    design = file_or_pattern("values", options)
    design.fabrics.update(dict(options["fabrics"]))
    check_outputs(
        options["outputs"], design_inputs(design, options["design"]), force=options["force"]
    )
    found = separation(design)
    for output in options["outputs"]:
        save_scene(found.scene, output)
        click.echo(f"wrote {output}", err=True)
    if options["as_json"]:
        click.echo(json.dumps(found.to_json(), indent=2))
        return
    click.secho(OUTCOME_WORDS[found.outcome], bold=True)
    for seam in found.seams:
        click.echo(f"  {MARKS[seam.outcome]} {seam.sentence}")
    for one, other in found.same:
        click.echo(f"  {one} and {other} are one cloth: nothing is to be seen between them")
