"""Files that commands write: none takes the place of an input, or of a file that is not ours."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import click

from quiltgeom.errors import QuiltFileError, QuiltValueError
from quiltgeom.files import sweep
from quiltgeom.model.design import Design
from quiltgeom.outputs.folder import refuse_inputs
from quiltgeom.outputs.stamps import is_unchanged

VARIANT = click.option("--variant", metavar="NAME", help="A variant that the design file names.")

__all__ = ["FORCE", "VARIANT", "check_outputs", "design_inputs"]

FORCE = click.option(
    "--force", is_flag=True, help="Replace files that are not as quiltgeom wrote them."
)


def check_outputs(
    outputs: Iterable[Path | None], inputs: Iterable[Path | None], *, force: bool
) -> None:
    """Refuse, before any work, outputs that would cost somebody a file.

    Raises:
        QuiltValueError: an output is an input, or two outputs are one file.
        QuiltFileError: a file stands there that is not as this library wrote it.
    """
    wanted = [p for p in outputs if p is not None]
    refuse_inputs(wanted, [p for p in inputs if p is not None])
    for path in wanted:
        if [p.absolute() for p in wanted].count(path.absolute()) > 1:
            raise QuiltValueError(f"output {path}: found it twice; accepted: each name once")
        if path.exists() and not force and not is_unchanged(path):
            raise QuiltFileError(
                f"output {path}: found a file that is not as quiltgeom wrote it; accepted: "
                "another name, or --force"
            )
        sweep(path.parent)


def design_inputs(design: Design, *files: Path | None) -> list[Path | None]:
    """The files that a design's output is made of: those given, and the pictures of its cloths."""
    return [*files, *(f.image for f in design.fabrics.values())]
