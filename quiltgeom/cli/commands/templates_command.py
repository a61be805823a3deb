"""``quiltgeom templates``."""

import json
from pathlib import Path
from typing import Any

import click

from quiltgeom.cli.cutting_options import UNITS, seam_option
from quiltgeom.cli.output_options import BLOCK_FOLDERS, FORCE, check_outputs
from quiltgeom.cli.types import FILE, FOLDER, LENGTH
from quiltgeom.errors import QuiltValueError


@click.command(name="templates")
@click.argument("what", metavar="BLOCK|PATTERN|DESIGN.toml")
@click.option("-o", "--output", type=FILE, metavar="OUT.pdf", help="The pages to print.")
@click.option("--svg", type=FOLDER, metavar="DIR", help="One SVG per shape, at real size.")
@click.option("--dxf", type=FILE, metavar="FILE", help="All shapes as DXF, for cutting machines.")
@click.option(
    "--paper",
    type=click.Choice(["letter", "a4", "tabloid", "a3"]),
    default="letter",
    help="Paper to print on.",
)
@click.option("--size", type=LENGTH, help="Finished block size; a block's grid in inches.")
@seam_option(none=True)
@UNITS
@click.option("--untrimmed", is_flag=True, help="Leave the tips long.")
@click.option("--either-side", is_flag=True, help="Cloth without a right side: no reversed ones.")
@click.option("--directional", multiple=True, metavar="ROLE", help="Role whose print has an up.")
@click.option("--role", "roles", multiple=True, metavar="ROLE", help="Only templates of this role.")
@click.option("--copies", type=click.IntRange(1, 10000), default=1, help="Blocks to make.")
@click.option("--class-sheet", is_flag=True, help="Begin with a sheet for the class (block only).")
@click.option("--foundation", is_flag=True, help="Foundation papers instead (block only).")
@click.option(
    "--window",
    is_flag=True,
    help="For see-through plastic or card: the inside is cut out as a window.",
)
@BLOCK_FOLDERS
@FORCE
@click.option("--json", "as_json", is_flag=True, help="Print facts as JSON.")
def command(as_json: bool, **options: Any) -> None:
    """True-size paper templates: one for each shape, its tips trimmed to the order of sewing.

    \b
    Examples:
      quiltgeom templates "Eight-pointed Star" --size 12in -o star.pdf
      quiltgeom templates churn-dash --size 9in --paper a4 --class-sheet -o class.pdf
      quiltgeom templates log-cabin --size 6in --foundation -o papers.pdf
      quiltgeom templates drunkards-path --seam 0 --svg shapes/
    """
    from quiltgeom.jobs.make import templates

    what, force = options.pop("what"), options.pop("force")
    output, svg, dxf = (options.pop(name) for name in ("output", "svg", "dxf"))
    if output and output.suffix.lower() != ".pdf":
        raise QuiltValueError(
            f"output {output}: file ending: found {output.suffix!r}; accepted: .pdf"
        )
    check_outputs([output, dxf], [Path(what)], force=force)
    made = templates(what, **options)
    files = [made.save(output)] if output else []
    files += made.save_shapes(svg, force=force) if svg else []
    files += [made.save(dxf)] if dxf else []
    data = made.to_json() | {"files": [str(p) for p in files]}
    if as_json:
        click.echo(json.dumps(data, indent=2))
        return
    click.echo(str(made))
    for finding in data["findings"]:
        click.echo(f"note: {finding}", err=True)
    for path in files:
        click.echo(f"wrote {path}")
