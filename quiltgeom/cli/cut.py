"""``quiltgeom cut``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from quiltgeom.cli.cutting_options import cutting_options, planning, with_seam
from quiltgeom.cli.outputs import FORCE, VARIANT
from quiltgeom.errors import QuiltValueError
from quiltgeom.model.design import Design
from quiltgeom.units import format_inches

if TYPE_CHECKING:
    from quiltgeom.cutting.plan import CutPlan


@click.command(name="cut")
@click.argument("design", required=False, type=click.Path(dir_okay=False, path_type=Path))
@click.option("--pattern", help="A pattern instead of a design file; see 'quiltgeom patterns'.")
@cutting_options
@click.option("--largest", is_flag=True,
              help="The largest version of the pattern that the --have cloth makes, with what is "
              "proved.")
@click.option("--tries", type=click.IntRange(0, 10_000), default=40,
              help="--largest: how many larger sizes are planned at most (40).")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter",
              help="Paper of the diagrams.")
@VARIANT
@FORCE
@click.option("--json", "as_json", is_flag=True, help="Print the plan as JSON.")
@click.option(
    "-o", "--output", type=click.Path(file_okay=False, path_type=Path), metavar="DIR",
    help="Write diagrams (SVG, PDF, PNG), the list (txt, md, csv), plan.json and as-cut.png here.",
)
def command(**options: Any) -> None:  # fmt: skip
    """Plan the cutting: what to buy, what to cut, where it lies, and how good that is.

    \b
    Examples:
      quiltgeom cut designs/harbour.toml -o cutting
      quiltgeom cut --pattern gull-cove --have focus=36inx40in
      quiltgeom cut --pattern sail-loft --have focus=36inx40in --largest
      quiltgeom cut --pattern rope-walk --have accent=4*fat-quarter --step 10cm
      quiltgeom cut --pattern tide-tables --method accent=geese --bias
      quiltgeom cut --pattern sail-loft --seam 1cm
    """
    from quiltgeom.cutting.listing import plan_data, plan_text
    from quiltgeom.documents.cutting_folder import write_cutting
    from quiltgeom.documents.sheet import A4, LETTER
    from quiltgeom.library.design_file import load_design

    design, pattern, folder = options["design"], options["pattern"], options["output"]
    if (design is None) == (pattern is None):
        raise QuiltValueError(
            f"cut: found {'neither' if design is None else 'both'} of a design file and "
            "--pattern; accepted: one of them"
        )
    wanted = load_design(design) if design else Design(pattern)
    wanted = with_seam(wanted.in_variant(options["variant"]), options["seam"])
    plan, said = _plan(wanted, options)
    written = []
    if folder:
        paper = A4 if options["paper"] == "a4" else LETTER
        inputs = [design] if design else []
        written = write_cutting(
            plan, wanted.fabrics, folder, paper, inputs=inputs, force=options["force"]
        )
    for note in plan.notes:
        click.echo(f"note: {note}", err=True)
    if options["as_json"]:
        data = plan_data(plan) | ({"largest": said} if said else {})
        click.echo(json.dumps(data, indent=2))
        return
    if said:
        q = plan.quilt
        click.echo(f"{said}\n{q.columns} columns, {q.rows} rows, blocks of "
                   f"{format_inches(q.block_size)}: --columns {q.columns} --rows {q.rows} "
                   f"--block {q.block_size:g}in\n")  # fmt: skip
    click.echo(plan_text(plan), nl=False)
    for path in written:
        click.echo(f"wrote {path}")


def _plan(design: Design, options: dict[str, Any]) -> tuple[CutPlan, str]:
    """The plan that the options ask for, and what is known of larger ones."""
    from quiltgeom.documents.cutting_folder import plan_design, plan_largest

    asked = planning(options)
    if options["largest"]:
        if not asked["have"]:
            raise QuiltValueError("--largest: found no --have; accepted: with cloth at hand")
        if asked.pop("bolts"):
            raise QuiltValueError("--largest: found --bolt; accepted: --width for cloth to buy")
        found = plan_largest(design, tries=options["tries"], **asked)
        return found.plan, found.sentence
    return plan_design(design, **asked), ""
