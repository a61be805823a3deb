"""``quiltgeom values``."""

from typing import Any

import click

from quiltgeom.cli.output_options import (
    FORCE,
    PATTERN,
    check_outputs,
    design_inputs,
    file_or_pattern,
    say,
)
from quiltgeom.cli.types import FILE, fabric_option, opt, pictures


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
    from quiltgeom.jobs.show import values

    design, outputs = file_or_pattern("values", options), options["outputs"]
    design.fabrics.update(dict(options["fabrics"]))
    check_outputs(outputs, design_inputs(design, options["design"]), force=options["force"])
    found = values(design)
    for output in outputs:
        found.save(output, px=1500)
        click.echo(f"wrote {output}", err=True)
    say(found, options, bold=r"\A.*")
