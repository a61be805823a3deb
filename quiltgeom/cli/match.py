"""``quiltgeom match``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, cast

import click

from quiltgeom.cli.types import LENGTH, SIZE, Parsed, parse_fabric
from quiltgeom.model.fabric import DIRECTIONS, Direction, Fabric


@click.command(name="match")
@click.argument("photo", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--width", type=LENGTH, help="Real width of the photo, e.g. 12in.")
@click.option("--motif", type=LENGTH, required=True, help="Size of a typical motif, e.g. 5in.")
@click.option("--direction", type=click.Choice(DIRECTIONS), default="non-directional",
              show_default=True, help="What the print allows.")
@click.option("--loudness", type=click.FloatRange(0, 1), default=0.5, show_default=True,
              help="0 reads as solid, 1 competes with everything.")
@click.option("--size", type=SIZE, help="Wanted finished size, e.g. 44inx60in.")
@click.option("--fabric", "fabrics", multiple=True, type=Parsed("fabric", parse_fabric),
              metavar="ROLE=PICTURE|#COLOUR[,key=value...]", help="Companions to show it with.")
@click.option("-o", "--output", type=click.Path(dir_okay=False, path_type=Path),
              help="Picture (.svg, .png, .pdf) of the six best in this print.")
@click.option("--json", "as_json", is_flag=True, help="Print every verdict as JSON.")
def command(**options: Any) -> None:  # fmt: skip
    """Rank the patterns for a print, with the reason for every verdict.

    \b
    Example:
      quiltgeom match herons.jpg --width 12in --motif 5in --direction one-way \\
        --size 44inx60in -o best.png
    """
    from quiltgeom.documents.proof import ranking_sheet
    from quiltgeom.fabric.cloth import cloth_of
    from quiltgeom.library.patterns import load_patterns
    from quiltgeom.matching.facts import PrintFacts
    from quiltgeom.matching.rank import rank_patterns
    from quiltgeom.render.preview import save_scene

    photo: Path = options["photo"]
    direction = cast(Direction, options["direction"])
    focus = Fabric(photo.stem, image=photo, width=options["width"], direction=direction)
    cloth_of(focus)  # a picture that cannot be used is refused before anything else
    facts = PrintFacts(options["motif"], direction, options["loudness"])
    fits = rank_patterns(load_patterns(), facts, options["size"])
    if options["as_json"]:
        click.echo(json.dumps({"patterns": [_row(f) for f in fits]}, indent=2))
    else:
        for place, fit in enumerate(fits, 1):
            _show(place, fit)
    if options["output"]:
        sheet = ranking_sheet(fits, {**dict(options["fabrics"]), "focus": focus},
                              title=f"Patterns for {photo.stem}")  # fmt: skip
        save_scene(sheet, options["output"], ppi=180)
        click.echo(f"wrote {options['output']}", err=options["as_json"])


def _row(fit: Any) -> dict[str, Any]:
    return {
        "key": fit.pattern.key,
        "outcome": fit.outcome,
        "score": round(fit.score, 6),
        "width_in": fit.quilt.width,
        "height_in": fit.quilt.height,
        "window_in": fit.facts.window,
        "verdicts": [
            {"rule": v.rule, "outcome": v.outcome, "score": round(v.score, 6),
             "weight": v.weight, "sentence": v.sentence}
            for v in fit.verdicts
        ],
    }  # fmt: skip


def _show(place: int, fit: Any) -> None:
    click.secho(f"{place:2d}  {fit.pattern.name}", bold=True, nl=False)
    click.echo(f"  ({fit.pattern.key}): {fit.outcome}, {fit.score:.0%}")
    for verdict in fit.verdicts:
        mark = {"pass": "+", "caution": "~", "fail": "-"}[verdict.outcome]
        click.echo(f"      {mark} {verdict.rule}: {verdict.sentence}")
