"""``quiltgeom kit``."""

from __future__ import annotations

import json
from typing import Any

import click

from quiltgeom.cli.commands.outputs_command import FORCE, PAPER, VARIANT
from quiltgeom.cli.cutting_options import as_asked, cutting_options, planning
from quiltgeom.cli.types import FILE, FOLDER


@click.command(name="kit")
@click.argument("design", type=FILE)
@click.option(
    "-o", "--output", required=True, type=FOLDER, metavar="FOLDER", help="Where the kit goes."
)
@PAPER
@cutting_options
@VARIANT
@FORCE
@click.option("--json", "as_json", is_flag=True, help="Print what was written as JSON.")
def command(**options: Any) -> None:
    """Make a folder with everything that a quilt needs: picture, cutting, sewing, templates.

    \b
    Examples:
      quiltgeom kit designs/harbour.toml -o harbour-kit --paper a4
      quiltgeom kit designs/harbour.toml -o harbour-kit --have "accent=4*fat-quarter" --bias
    """
    from quiltgeom.cli.progress import bar
    from quiltgeom.documents.cutting_pages.cutting_folder import plan_design
    from quiltgeom.documents.kit_folder import write_kit
    from quiltgeom.library.design_file import load_design
    from quiltgeom.proposal.proposal import propose

    design = as_asked(load_design(options["design"]), options)
    with bar("kit") as step:
        step(0, 7)
        kit = propose(design, plan=plan_design(design, **planning(options, design.units)))
        made = write_kit(
            design,
            options["output"],
            paper=options["paper"],
            kit=kit,
            inputs=[options["design"]],
            force=options["force"],
            progress=lambda _, done, total: step(done, total),
        )
    for note in made.kit.cutting.notes:
        click.echo(f"note: {note}", err=True)
    if options["as_json"]:
        plan = made.kit.cutting
        data = {
            "quilt": plan.quilt.name,
            "fits": plan.fits,
            "buy_in": {f.role: f.buy if f.have is None else 0 for f in plan.fabrics},
            "notes": list(plan.notes),
            "files": [str(f) for f in made.files],
        }
        click.echo(json.dumps(data, indent=2))
        return
    for path in made.files:
        click.echo(f"wrote {path}")
