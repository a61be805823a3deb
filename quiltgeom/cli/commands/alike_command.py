"""``quiltgeom alike``."""

from typing import Any

import click

from quiltgeom.cli.output_options import FROM, bar, say
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
    from quiltgeom.jobs.companion_search import find_alike

    with bar("reading swatches") as step:
        names = ("photo", "place", "width", "swatch_width", "most")
        found = find_alike(progress=step, **{name: options[name] for name in names})
    say(found, options, bold=r"^\d+  .*(?=: )", ascii=False)
