"""``quiltgeom match``."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from quiltgeom.cli.commands.outputs_command import FORCE, PATTERNS, check_outputs
from quiltgeom.cli.types import FILE, LENGTH, PLACE, SIZE, Number, fabric_option
from quiltgeom.model.fabric import DIRECTIONS
from quiltgeom.piecing.difficulty import WORDS


@click.command(name="match")
@click.argument("photo", type=PLACE)
@click.option("--width", type=LENGTH, help="Real width of the photo, e.g. 12in.")
@click.option("--size", type=SIZE, help="Wanted finished size, e.g. 44inx60in.")
@click.option("--level", type=click.Choice(WORDS), help="What the maker can sew.")
@click.option("--motif", type=LENGTH, help="Size of a typical motif, if you measured it.")
@click.option("--direction", type=click.Choice(DIRECTIONS), help="Your word wins.")
@click.option("--loudness", type=Number(0, 1), help="0 reads as solid, 1 competes with everything.")
@fabric_option("Companions to show it with.")
@PATTERNS
@click.option(
    "-o", "--output", type=FILE, help="Picture (.svg, .png, .pdf) of the six best in this print."
)
@FORCE
@click.option("--json", "as_json", is_flag=True, help="Print every verdict as JSON.")
def command(**options: Any) -> None:
    """Read a print and rank the patterns for it, with the reason for every verdict.

    \b
    Examples:
      quiltgeom match herons.jpg --width 12in
      quiltgeom match herons.jpg --width 12in --direction one-way --motif 5in \\
        --size 44inx60in --level comfortable -o best.png
    """
    from quiltgeom.documents.proof import ranking_sheet
    from quiltgeom.fabric.reading.as_fabric import fabric_from_reading
    from quiltgeom.fabric.reading.reading import read_swatch
    from quiltgeom.library.patterns import load_patterns
    from quiltgeom.matching.facts import print_facts
    from quiltgeom.matching.rank import rank_patterns
    from quiltgeom.render.preview import save_scene

    photo: Path = options["photo"]
    inputs = [photo, *(f.image for _, f in options["fabrics"])]
    check_outputs([options["output"]], inputs, force=options["force"])
    said = {"direction": options["direction"], "motif_in": options["motif"]}
    corrections = {k: v for k, v in said.items() if v is not None}
    reading = read_swatch(photo, options["width"], corrections=corrections)
    facts = print_facts(reading)
    if options["loudness"] is not None:
        facts = replace(facts, loudness=options["loudness"])
    known = load_patterns(*options["pattern_folders"])
    fits = rank_patterns(known, facts, options["size"], level=options["level"])
    if options["as_json"]:
        rows = [f.to_json() | {"window_in": f.facts.window} for f in fits]
        click.echo(json.dumps({"print": _print(facts), "patterns": rows}, indent=2))
    else:
        for doubt in facts.unsure:
            click.echo(f"Note: {doubt}")
        for place, fit in enumerate(fits, 1):
            _show(place, fit)
    if options["output"]:
        focus = fabric_from_reading(photo.stem, photo, reading)
        sheet = ranking_sheet(
            fits, {**dict(options["fabrics"]), "focus": focus}, title=f"Patterns for {photo.stem}"
        )
        save_scene(sheet, options["output"], ppi=180)
        click.echo(f"wrote {options['output']}", err=options["as_json"])


def _print(facts: Any) -> dict[str, Any]:
    return {
        "motif_in": facts.motif,
        "direction": facts.direction,
        "loudness": facts.loudness,
        "unsure": list(facts.unsure),
    }


def _show(place: int, fit: Any) -> None:
    from quiltgeom.matching.verdicts import MARKS, OUTCOME_WORDS

    click.secho(f"{place:2d}  {fit.pattern.name}", bold=True, nl=False)
    click.echo(f"  ({fit.pattern.key}): {OUTCOME_WORDS[fit.outcome]}")
    for verdict in fit.verdicts:
        click.echo(f"      {MARKS[verdict.outcome]} {verdict.title}: {verdict.sentence}")
