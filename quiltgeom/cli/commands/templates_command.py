"""``quiltgeom templates``."""

import json
from pathlib import Path
from typing import Any

import click

import quiltgeom as qg
from quiltgeom.cli.cutting_options import UNITS, seam_option
from quiltgeom.cli.output_options import BLOCK_FOLDERS, FORCE, check_outputs
from quiltgeom.cli.types import FILE, FOLDER, LENGTH, opt
from quiltgeom.errors import QuiltValueError


@click.command(name="templates")
@click.argument("what", metavar="BLOCK|PATTERN|DESIGN.toml")
@opt("-o --output OUT.pdf", "The pages to print.", FILE)
@opt("--svg DIR", "One SVG per shape, at real size.", FOLDER)
@opt("--dxf FILE", "All shapes as DXF, for cutting machines.", FILE)
@opt("--paper", "Paper to print on.", ["letter", "a4", "tabloid", "a3"], default="letter")
@opt("--size", "Finished block size; a block's grid in inches.", LENGTH)
@seam_option(none=True)
@UNITS
@opt("--untrimmed", "Leave the tips long.")
@opt("--either-side", "Cloth without a right side: no reversed ones.")
@opt("--directional ROLE", "Role whose print has an up.", multiple=True)
@opt("--role roles ROLE", "Only templates of this role.", multiple=True)
@opt("--copies", "Blocks to make.", click.IntRange(1, 10000), default=1)
@opt("--class-sheet", "Begin with a sheet for the class (block only).")
@opt("--foundation", "Foundation papers instead (block only).")
@opt("--window", "For see-through plastic or card: the inside is cut out as a window.")
@BLOCK_FOLDERS
@FORCE
@opt("--json as_json", "Print facts as JSON.")
def command(as_json: bool, **options: Any) -> None:
    """True-size paper templates: one for each shape, its tips trimmed to the order of sewing.

    \b
    Examples:
      quiltgeom templates "Eight-pointed Star" --size 12in -o star.pdf
      quiltgeom templates churn-dash --size 9in --paper a4 --class-sheet -o class.pdf
      quiltgeom templates log-cabin --size 6in --foundation -o papers.pdf
      quiltgeom templates drunkards-path --seam 0 --svg shapes/
    """
    what, force = options.pop("what"), options.pop("force")
    output, svg, dxf = (options.pop(name) for name in ("output", "svg", "dxf"))
    if output and output.suffix.lower() != ".pdf":
        raise QuiltValueError(
            f"output {output}: file ending: found {output.suffix!r}; accepted: .pdf"
        )
    check_outputs([output, dxf], [Path(what)], force=force)
    made = qg.templates(what, **options)
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
