"""``quiltgeom kit``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from quiltgeom.cli.cut import _have
from quiltgeom.cli.types import LENGTH, Parsed


@click.command(name="kit")
@click.argument("design", type=click.Path(dir_okay=False, path_type=Path))
@click.option("-o", "--output", required=True, type=click.Path(file_okay=False, path_type=Path),
              metavar="FOLDER", help="Where the kit goes.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter",
              show_default=True, help="Paper of the pages.")
@click.option("--have", multiple=True, type=Parsed("cloth", _have), metavar="ROLE=LENGTHxWIDTH",
              help="Cloth at hand, length along the selvage first, e.g. focus=36inx40in.")
@click.option("--width", type=LENGTH, default="40in", help="Usable width of bought cloth (40in).")
@click.option("--seconds", type=click.FloatRange(0.1, 600),
              help="Time limit for planning each fabric; none unless given.")
@click.option("--json", "as_json", is_flag=True, help="Print what was written as JSON.")
def command(**options: Any) -> None:  # fmt: skip
    """Make a folder with everything that a quilt needs: picture, cutting, sewing, templates.

    \b
    Example:
      quiltgeom kit designs/harbour.toml -o harbour-kit --paper a4
    """
    from quiltgeom.cli.progress import bar
    from quiltgeom.documents.kit_folder import write_kit
    from quiltgeom.library.design_file import load_design

    design = load_design(options["design"])
    with bar("kit") as step:
        made = write_kit(
            design, options["output"], paper=options["paper"], have=dict(options["have"]),
            width=options["width"], seconds=options["seconds"],
            progress=lambda _, done, total: step(done, total),
        )  # fmt: skip
    if options["as_json"]:
        plan = made.kit.plan
        data = {
            "quilt": plan.quilt.name, "fits": plan.fits,
            "buy_in": {f.role: f.buy if f.have is None else 0 for f in plan.fabrics},
            "files": [str(f) for f in made.files],
        }  # fmt: skip
        click.echo(json.dumps(data, indent=2))
        return
    for path in made.files:
        click.echo(f"wrote {path}")
