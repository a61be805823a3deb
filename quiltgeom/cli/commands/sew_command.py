"""``quiltgeom sew``."""

import json
from pathlib import Path
from typing import Any

import click

import quiltgeom as qg
from quiltgeom.cli.cutting_options import UNITS, seam_option
from quiltgeom.cli.output_options import BLOCK_FOLDERS, FORCE, check_outputs
from quiltgeom.cli.types import FILE, LENGTH, fabric_option, opt


@click.command(name="sew")
@click.argument("what", metavar="BLOCK|PATTERN|DESIGN.toml")
@opt("--size", "Finished size of a block (12in).", LENGTH)
@fabric_option("Fabric of a role, for the pictures; keys as for preview.")
@seam_option()
@UNITS
@BLOCK_FOLDERS
@opt(
    "-o --output",
    "Write the steps as pictures (.pdf: all sheets; .svg, .png: a block, or the top of a quilt).",
    FILE,
)
@FORCE
@opt("--json as_json", "Print facts as JSON.")
def command(what: str, output: Path | None, force: bool, as_json: bool, **options: Any) -> None:
    """Say in which order a block or a quilt is sewn, and how hard it is.

    \b
    Examples:
      quiltgeom sew "Churn Dash"
      quiltgeom sew bears-paw --size 10.5in -o steps.pdf
      quiltgeom sew ohio-star --fabric accent=kelp.jpg,width=12in -o steps.png
      quiltgeom sew designs/harbour.toml -o order-of-sewing.pdf
    """
    fabrics = dict(options.pop("fabrics"))
    check_outputs([output], [Path(what), *(f.image for f in fabrics.values())], force=force)
    sewing = qg.sew(what, fabrics=fabrics, **options)
    if output:
        sewing.save(output)
    note = "" if as_json else f"\n\n{sewing.seam_note}"
    click.echo((json.dumps(sewing.to_json(), indent=2) if as_json else str(sewing)) + note)
    if output:
        click.echo(f"wrote {output}", err=as_json)
