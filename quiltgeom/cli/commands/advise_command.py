"""``quiltgeom advise``."""

import json
from dataclasses import fields
from pathlib import Path
from typing import Any

import click

import quiltgeom as qg
from quiltgeom.cli.cutting_options import seam_option
from quiltgeom.cli.output_options import FORCE, GROUND, PAPER, PATTERNS, bar
from quiltgeom.cli.photo_options import (
    ask_owner,
    at_terminal,
    calibration,
    corrections,
    photo_options,
    read_photo,
)
from quiltgeom.cli.report import in_options
from quiltgeom.cli.types import FOLDER, LENGTH, PLACE, SIZE, Parsed, opt, parse_size
from quiltgeom.piecing.difficulty import WORDS


@click.command(name="advise")
@click.argument("photo", metavar="PHOTO|FOLDER", type=PLACE)
@photo_options
@opt("--swatches FOLDER", "Pictures of the cloths on hand, to choose companions from.", PLACE)
@opt("--swatch-width", "Real width of those pictures.", LENGTH)
@opt("-o --output FOLDER", "Where the proof page and the kit go.", FOLDER, required=True)
@opt("--size", "Wanted finished size, e.g. 44inx60in.", SIZE)
@opt("--level", "What the maker can sew.", WORDS)
@opt(
    "--have LENGTHxWIDTH",
    "Cloth of the print at hand, e.g. 36inx40in.",
    Parsed("cloth", lambda t: parse_size(t, what="--have")),
)
@seam_option()
@opt("--pattern NAME|FILE", "The pattern you want, whatever the rules say.")
@PATTERNS
@GROUND
@opt("--fussy", "Centre the motif in every main patch, by fussy cutting.")
@PAPER
@opt("--kit/--no-kit", "Whether to make the kit, too (it is).", default=True)
@FORCE
@opt("--json as_json", "Print the advice as JSON.")
def command(**options: Any) -> None:
    """From a print to a recommendation: patterns ranked, companions chosen, proof page and kit.

    A folder of prints gives a folder for each and an overview; interrupted, it goes on where it
    stopped.

    \b
    Examples:
      quiltgeom advise herons.jpg --width 12in --swatches on-hand -o herons
      quiltgeom advise herons.jpg --width 12in --swatches on-hand --size 44inx60in \\
        --level comfortable --have 36inx40in -o herons
      quiltgeom advise new-prints --width 12in --swatches on-hand -o proofs
    """
    from quiltgeom.jobs.advise import Brief, advise

    folders = options["pattern_folders"]
    patterns = list(qg.load_patterns(*folders)) if folders else None
    own = {f.name: options[f.name] for f in fields(Brief) if f.name in options}
    words = corrections(options)
    if at_terminal() and not options["photo"].is_dir():
        words |= ask_owner(read_photo(options))
    brief = Brief(corrections=words, calibration=calibration(options), **own)
    if options["photo"].is_dir():
        _many(brief, options["output"], patterns, as_json=options["as_json"])
        return
    with bar("advise") as step:
        advice = advise(
            brief,
            options["output"],
            patterns=patterns,
            progress=lambda _, done, total: step(done, total),
        )
    if options["as_json"]:
        data = {
            **advice.to_json(),
            "files": [str(f) for f in advice.files],
            "seconds": {k: round(v, 2) for k, v in advice.seconds.items()},
        }
        click.echo(json.dumps(data, indent=2))
        return
    folder: Path = options["output"]
    kit = f" and {folder / 'kit'}" if (folder / "kit" / "kit.pdf") in advice.files else ""
    click.echo(f"{in_options(str(advice))}\nwrote {folder / 'proof.html'}{kit}")


def _many(brief: Any, folder: Path, patterns: Any, *, as_json: bool) -> None:
    from quiltgeom.jobs.advise_many import advise_many

    with bar("prints") as step:
        made = advise_many(brief.photo, brief, folder, patterns=patterns, progress=step)
    if as_json:
        rows: list[dict[str, Any]] = [
            {"photo": str(p.photo), "folder": str(p.folder)}
            | {"error": in_options(p.error) or None, "kept": p.kept}
            for p in made.prints
        ]
        click.echo(json.dumps({"prints": rows, "overview": str(made.overview)}, indent=2))
    else:
        for p in made.prints:
            click.echo(f"{p.photo.name}: {in_options(p.error) or ('kept' if p.kept else 'done')}")
        click.echo(f"wrote {made.overview}")
    if made.failed:
        raise click.exceptions.Exit(2)
