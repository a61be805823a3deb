"""``quiltgeom cut``."""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

import quiltgeom as qg
from quiltgeom.cli.cutting_options import buying_list, cutting_options, planning, with_options
from quiltgeom.cli.output_options import FORCE, PATTERN, VARIANT, slow_bar
from quiltgeom.cli.types import FILE, FOLDER, PLACE, opt
from quiltgeom.errors import QuiltValueError


@click.command(name="cut")
@click.argument("designs", nargs=-1, type=FILE, metavar="[DESIGN]...")
@PATTERN
@opt(
    "--list pieces CSV",
    "A plain list of pieces instead: columns width, height (along the cloth), "
    "count, and name, may_turn (yes or no) if wanted; --have without a role.",
    FILE,
)
@cutting_options
@opt(
    "--kits",
    "So many of each design, cut together (1); several designs are cut together, too.",
    click.IntRange(1, 100),
    default=1,
)
@opt(
    "--largest",
    "The largest version of the pattern that the --have cloth makes, with what is proved.",
)
@opt(
    "--tries",
    "--largest: how many larger sizes are planned at most (40).",
    click.IntRange(0, 10_000),
    default=40,
)
@opt(
    "--put-back index FOLDER_OR_INDEX",
    "Write into the index of cloth on hand what is left of the --have cloth, in "
    "place of what was there.",
    PLACE,
)
@opt("--paper", "Paper of the diagrams.", ["letter", "a4"], default="letter")
@VARIANT
@FORCE
@opt("--json as_json", "Print the plan as JSON.")
@opt(
    "-o --output DIR",
    "Write diagrams (SVG, PDF, PNG), the list (txt, md, csv), plan.json and as-cut.png here.",
    FOLDER,
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
      quiltgeom cut designs/harbour.toml --units cm --paper a4 -o cutting
      quiltgeom cut --pattern sail-loft --width focus=54in --bolt 42in=11.50 --bolt 60in=15
      quiltgeom cut herons.toml kelp.toml --kits 3 -o class
      quiltgeom cut --list pieces.csv --have 36inx40in -o aprons
    """
    designs, several = options["designs"], len(options["designs"]) > 1 or options["kits"] > 1
    ways = [bool(designs), bool(options["pattern"]), bool(options["pieces"])]
    if sum(ways) != 1:
        raise QuiltValueError(
            f"cut: found {'none' if not any(ways) else 'more than one'} of design files, --pattern "
            "and --list; accepted: one of them"
        )
    if options["pieces"]:
        never = "seam methods lengthwise bias binding_role bolts largest index variant"
        _refuse(options, "--list", never.split())
        if several:
            raise QuiltValueError("cut: found --list with --kits; accepted: its own counts")
        _cut_list(options)
    elif several:
        _refuse(options, "several kits", ("largest", "index", "bolts"))
        _cut_together([_design(d, options) for d in designs or (None,)], options)
    else:
        _cut_one(_design(designs[0] if designs else None, options), options)


_NAMES = {"methods": "method", "binding_role": "binding", "bolts": "bolt", "index": "put-back"}


def _refuse(options: dict[str, Any], what: str, names: Sequence[str]) -> None:
    for name in names:
        if options[name]:
            raise QuiltValueError(
                f"cut: found {what} with --{_NAMES.get(name, name)}; accepted: one of them"
            )


def _design(path: Path | None, options: dict[str, Any]) -> qg.Design:
    """The design of a file, or the pattern, as the options have it."""
    return with_options(qg.load_design(path) if path else qg.Design(options["pattern"]), options)


def _say(made: Any, options: dict[str, Any], inputs: Sequence[Path], **more: Any) -> None:
    """Write what is asked for, and say what was found."""
    data, text = made.to_json() | more, f"{made}\n"
    folder, force = options["output"], options["force"]
    written = made.save_folder(folder, inputs=inputs, force=force) if folder else []
    for back in more.get("put_back", ()):
        text += f"put back {back['swatch']}: {back.pop('said')}\n"
    for note in data.get("notes", ()):
        click.echo(f"note: {note}", err=True)
    if options["as_json"]:
        click.echo(json.dumps(data, indent=2))
        return
    click.echo(text, nl=False)
    for path in written:
        click.echo(f"wrote {path}")


def _cut_one(design: qg.Design, options: dict[str, Any]) -> None:
    arguments = planning(options, design.units)
    arguments |= {name: options[name] for name in ("paper", "largest", "tries")}
    with slow_bar("planning the cutting") as step:
        made = qg.cut(design, progress=step, **arguments)
    more: dict[str, Any] = {}
    if options["index"]:
        back = made.put_back(options["index"])
        more["put_back"] = [
            {"swatch": b.swatch.name, "left_in": b.left, "said": b.said} for b in back
        ]
    _say(made, options, options["designs"], **more)


def _cut_together(designs: Sequence[qg.Design], options: dict[str, Any]) -> None:
    arguments = planning(options, designs[0].units)
    made = qg.cut_together(designs, kits=options["kits"], paper=options["paper"], **arguments)
    _say(made, options, options["designs"])


def _cut_list(options: dict[str, Any]) -> None:
    path, widths = options["pieces"], dict(options["widths"])
    for role in [*widths, *(r for r, _ in options["have"])]:
        if role not in ("", "*"):
            raise QuiltValueError(f"cut: found {role}= with --list; accepted: no role")
    arguments = {name: options[name] for name in ("paper", "seconds", "spare")}
    cloths = tuple(c for _, cloths in options["have"] for c in cloths)
    terms, width = buying_list(options)
    made = qg.cut_list(path, width=width, cloths=cloths, terms=terms, **arguments)
    _say(made, options, [path])
