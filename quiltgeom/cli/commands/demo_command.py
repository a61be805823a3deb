"""``quiltgeom demo``."""

from pathlib import Path

import click

from quiltgeom.cli.output_options import FORCE, bar
from quiltgeom.cli.types import FOLDER, opt


@click.command(name="demo")
@opt(
    "-o --output DIR", "Folder to write into.", FOLDER, default="quiltgeom-demo", show_default=True
)
@opt(
    "--px",
    "Longer side of the PNG previews, pixels.",
    click.IntRange(100, 12000),
    default=1600,
    show_default=True,
)
@opt("--all every", "Draw all forty swatches, not only those used.")
@FORCE
def command(output: Path, px: int, *, every: bool, force: bool) -> None:
    """Draw our own swatches, then quilts made of them: SVG, PNG and PDF, and a contact sheet.

    \b
    Example:
      quiltgeom demo -o /tmp/demo
      quiltgeom demo --all -o /tmp/demo
    """
    from quiltgeom.jobs.run_demo import run_demo

    with bar("drawing") as step:
        made = run_demo(output, px=px, every=every, force=force, progress=step)
    click.echo(str(made))
