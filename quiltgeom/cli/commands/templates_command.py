"""``quiltgeom templates``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from quiltgeom.cli.commands.outputs_command import BLOCK_FOLDERS, FORCE, check_outputs
from quiltgeom.cli.cutting_options import UNITS, seam_option
from quiltgeom.cli.types import FILE, FOLDER, LENGTH


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
    from quiltgeom.templates.template_files import make_templates

    check_outputs(
        [options["output"], options["dxf"]], [Path(options["what"])], force=options["force"]
    )
    facts = make_templates(**options)
    if as_json:
        click.echo(json.dumps(facts, indent=2))
        return
    for row in facts["templates"]:
        extra = f" + {row['reversed']} reversed" if row["reversed"] else ""
        click.echo(f"{row['label']:4} {row['role']:12} cut {row['count']}{extra}")
    for row in facts["by_ruler"]:
        click.echo(f"{row['label']:4} {row['role']:12} cut {row['count']} by ruler, {row['text']}")
    for finding in facts["findings"]:
        click.echo(f"note: {finding}", err=True)
    for path in facts["files"]:
        click.echo(f"wrote {path}")
