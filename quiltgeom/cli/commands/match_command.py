"""``quiltgeom match``."""

from pathlib import Path
from typing import Any

import click

import quiltgeom as qg
from quiltgeom.cli.output_options import FORCE, PATTERNS, check_outputs, say
from quiltgeom.cli.photo_options import photo_options, read_photo
from quiltgeom.cli.types import FILE, PLACE, SIZE, Number, fabric_option, opt
from quiltgeom.piecing.difficulty import WORDS


@click.command(name="match")
@click.argument("photo", type=PLACE)
@photo_options
@opt("--size", "Wanted finished size, e.g. 44inx60in.", SIZE)
@opt("--level", "What the maker can sew.", WORDS)
@opt("--loudness", "0 reads as solid, 1 competes with everything.", Number(0, 1))
@fabric_option("Companions to show it with.")
@PATTERNS
@opt("-o --output", "Picture (.svg, .png, .pdf) of the six best in this print.", FILE)
@FORCE
@opt("--json as_json", "Print every verdict as JSON.")
def command(**options: Any) -> None:
    """Read a print and rank the patterns for it, with the reason for every verdict.

    \b
    Examples:
      quiltgeom match herons.jpg --width 12in
      quiltgeom match herons.jpg --width 12in --direction one-way --motif 5in \\
        --size 44inx60in --level comfortable -o best.png
    """
    photo: Path = options["photo"]
    inputs = [photo, *(f.image for _, f in options["fabrics"])]
    check_outputs([options["output"]], inputs, force=options["force"])
    swatch = read_photo(options)
    wishes = {name: options[name] for name in ("size", "level", "loudness")}
    patterns = list(qg.load_patterns(*options["pattern_folders"]))
    found = qg.match(swatch, patterns=patterns, fabrics=dict(options["fabrics"]), **wishes)
    say(found, options)
    if options["output"]:
        found.save(options["output"], ppi=180)
        click.echo(f"wrote {options['output']}", err=options["as_json"])
