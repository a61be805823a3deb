"""``quiltgeom alike``."""

import json
from typing import Any

import click

from quiltgeom.cli.output_options import FROM
from quiltgeom.cli.types import LENGTH, PLACE, opt


@click.command(name="alike")
@click.argument("photo", type=PLACE)
@FROM
@opt("--width", "Real width of the photo, e.g. 12in.", LENGTH)
@opt("--swatch-width", "Real width of the swatches' pictures.", LENGTH)
@opt("--most", "How many.", click.IntRange(1, 50), default=6, show_default=True)
@opt("--json as_json", "Print every verdict as JSON.")
def command(**options: Any) -> None:
    """Something like this: the nearest on hand in colour, scale and mood.

    \b
    Example:
      quiltgeom alike sold-out.jpg --width 12in --from swatches
    """
    from quiltgeom.cli.progress import bar
    from quiltgeom.jobs.companion_search import find_alike
    from quiltgeom.matching.verdicts import OUTCOME_WORDS

    with bar("reading swatches") as step:
        names = ("photo", "place", "width", "swatch_width", "most")
        found = find_alike(progress=step, **{name: options[name] for name in names})
    if options["as_json"]:
        data = {"swatches": [c.to_json() for c in found]}
        click.echo(json.dumps(data, indent=2, ensure_ascii=False))
        return
    for place, chosen in enumerate(found, 1):
        click.secho(f"{place}  {chosen.name}", bold=True, nl=False)
        click.echo(f": {OUTCOME_WORDS[chosen.outcome]}")
        click.echo("\n".join(chosen.lines()))
