"""``quiltgeom cut``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from quiltgeom.cli.types import LENGTH, Parsed
from quiltgeom.cutting.on_hand import NAMED_CLOTH, Cloths, parse_cloths
from quiltgeom.cutting.options import METHODS, CutOptions
from quiltgeom.cutting.terms import Terms, parse_step
from quiltgeom.errors import QuiltError, QuiltValueError
from quiltgeom.model.design import Design
from quiltgeom.units import format_inches

if TYPE_CHECKING:
    from quiltgeom.cutting.plan import CutPlan


def _have(text: str) -> tuple[str, Cloths]:
    role, mark, cloths = text.partition("=")
    if not mark or not role.strip():
        raise QuiltValueError(f"--have: found {text!r}; accepted: ROLE=LENGTHxWIDTH")
    try:
        return role.strip(), parse_cloths(cloths)
    except QuiltError as e:
        raise QuiltValueError(f"--have {role.strip()}: {e}") from e


def _method(text: str) -> tuple[str, str]:
    role, mark, method = (part.strip() for part in text.partition("="))
    if not (role and mark and method):
        raise QuiltValueError(
            f"--method: found {text!r}; accepted: ROLE=METHOD, e.g. accent=pairs; methods: "
            f"{', '.join(METHODS)}"
        )
    return role, method


@click.command(name="cut")
@click.argument("design", required=False, type=click.Path(dir_okay=False, path_type=Path))
@click.option("--pattern", help="A pattern instead of a design file; see 'quiltgeom patterns'.")
@click.option(
    "--have",
    "have",
    multiple=True,
    type=Parsed("cloth", _have),
    metavar="ROLE=[N*]LENGTHxWIDTH",
    help="Cloth at hand, length along the selvage first, e.g. focus=36inx40in; may be given again "
    f"for more pieces. Names for LENGTHxWIDTH: {', '.join(NAMED_CLOTH)}.",
)
@click.option("--width", type=LENGTH, default="40in", help="Usable width of bought cloth (40in).")
@click.option(
    "--step",
    type=Parsed("length", parse_step),
    default="1/8yd",
    help="Steps in which cloth is sold, e.g. 10cm (1/8yd).",
)
@click.option(
    "--straighten", type=LENGTH, default="1in", help="Added for squaring up the cloth's end (1in)."
)
@click.option(
    "--shrink", type=click.FloatRange(0, 30), default=0.0, help="Percent added for washing (0)."
)
@click.option(
    "--binding",
    "binding_role",
    metavar="ROLE",
    help="Fabric of the binding (accent); 'none' leaves it out.",
)
@click.option(
    "--largest",
    is_flag=True,
    help="The largest version of the pattern that the --have cloth makes, with what is proved.",
)
@click.option(
    "--tries",
    type=click.IntRange(0, 10_000),
    default=40,
    help="--largest: how many larger sizes are planned at most (40).",
)
@click.option(
    "--method",
    "methods",
    multiple=True,
    type=Parsed("method", _method),
    metavar="ROLE=METHOD",
    help=f"How to cut a role: {', '.join(METHODS)}.",
)
@click.option(
    "--constants",
    type=click.Choice(["trade", "exact"]),
    default="trade",
    help="Triangles by the trade's additions (7/8, 1 1/4), or the exact ones rounded up.",
)
@click.option("--lengthwise", multiple=True, metavar="ROLE", help="Its borders along the selvage.")
@click.option("--bias", is_flag=True, help="Bias binding from a square, not straight strips.")
@click.option("--binding-strip", type=LENGTH, default="2.5in", help="Width of binding (2.5in).")
@click.option(
    "--back-width", type=LENGTH, default="40in", help="Usable width of the backing cloth (40in)."
)
@click.option(
    "--seconds", type=click.FloatRange(0.1, 600),
    help="Time limit per fabric; none unless given."
)
@click.option(
    "--paper", type=click.Choice(["letter", "a4"]), default="letter", help="Paper of the diagrams."
)
@click.option("--json", "as_json", is_flag=True, help="Print the plan as JSON.")
@click.option(
    "-o",
    "--output",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="Write diagrams (SVG, PDF, PNG), the list (txt, md, csv), plan.json and as-cut.png here.",
)
def command(**options: Any) -> None:
    """Plan the cutting: what to buy, what to cut, where it lies, and how good that is.

    \b
    Examples:
      quiltgeom cut designs/harbour.toml -o cutting
      quiltgeom cut --pattern gull-cove --have focus=36inx40in
      quiltgeom cut --pattern sail-loft --have focus=36inx40in --largest
      quiltgeom cut --pattern rope-walk --have accent=4*fat-quarter --step 10cm
      quiltgeom cut --pattern tide-tables --method accent=geese --bias
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
    plan, said = _plan(wanted, options)
    written = []
    if folder:
        paper = A4 if options["paper"] == "a4" else LETTER
        written = write_cutting(plan, wanted.fabrics, folder, paper)
    if options["as_json"]:
        click.echo(json.dumps(plan_data(plan) | ({"largest": said} if said else {}), indent=2))
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

    cloths: dict[str, Cloths] = {}
    for role, pieces in options["have"]:
        cloths[role] = cloths.get(role, ()) + pieces
    chosen = CutOptions(
        dict(options["methods"]), options["constants"], options["lengthwise"],
        binding_strip=options["binding_strip"], binding="bias" if options["bias"] else "straight",
        back_width=options["back_width"],
    )  # fmt: skip
    if options["largest"]:
        if not cloths:
            raise QuiltValueError("--largest: found no --have; accepted: with cloth at hand")
        found = plan_largest(
            design, have=cloths, width=options["width"], seconds=options["seconds"],
            tries=options["tries"], options=chosen,
        )  # fmt: skip
        return found.plan, found.sentence
    terms = Terms(options["step"], options["straighten"], options["shrink"] / 100)
    binding = "" if options["binding_role"] == "none" else options["binding_role"]
    plan = plan_design(
        design, have=cloths, width=options["width"], binding_role=binding,
        seconds=options["seconds"], options=chosen, terms=terms,
    )  # fmt: skip
    return plan, ""
