"""``quiltgeom alike``."""

from typing import Any

import click

from quiltgeom.cli.output_options import FROM, bar, say
from quiltgeom.cli.photo_options import photo_options, read_photo
from quiltgeom.cli.types import LENGTH, PLACE, opt


@click.command(name="alike")
@click.argument("photo", type=PLACE)
@FROM
@photo_options
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

    swatch = read_photo(options)
    with bar("reading swatches") as step:
        names = ("place", "swatch_width", "most")
        found = find_alike(swatch, progress=step, **{name: options[name] for name in names})
    say(found, options, bold=r"^\d+  .*(?=: )", ascii=False)
