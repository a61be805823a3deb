"""``quiltgeom demo``."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click


@click.command(name="demo")
@click.option("-o", "--output", default="quiltgeom-demo", show_default=True, metavar="DIR",
              type=click.Path(file_okay=False, path_type=Path), help="Folder to write into.")
@click.option("--px", type=click.IntRange(100, 12000), default=1600, show_default=True,
              help="Longer side of the PNG previews, pixels.")
def command(output: Path, px: int) -> None:  # fmt: skip
    """Draw our own swatches, then quilts made of them: SVG, PNG and PDF, and a contact sheet.

    \b
    Example:
      quiltgeom demo -o /tmp/demo
    """
    from quiltgeom.demo.run import run_demo

    with click.progressbar(length=1, label="drawing", file=click.get_text_stream("stderr")) as bar:
        result = run_demo(output, px=px, progress=_steps(bar))
    click.echo(f"swatches:      {result.swatches}")
    for design in result.designs:
        click.echo(f"design:        {design.file}")
        click.echo(f"               {', '.join(p.name for p in design.pictures)} beside it")
    click.echo(f"contact sheet: {result.contact_sheet}")


def _steps(bar: Any) -> Callable[[int, int], None]:
    def step(done: int, total: int) -> None:
        bar.length = total
        bar.update(done - bar.pos)

    return step
