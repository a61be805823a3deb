"""``quiltgeom blocks``."""

import re
from typing import Any

import click

from quiltgeom.cli.output_options import (
    BLOCK_FOLDERS,
    FORCE,
    PAPER,
    bar,
    check_outputs,
    say,
    say_findings,
)
from quiltgeom.cli.types import FILE, FOLDER, PLACE, Number, opt
from quiltgeom.errors import QuiltValueError, shown


@click.command(name="blocks")
@click.argument("name", required=False)
@opt("--search text TEXT", "Only blocks whose names or family hold this text.", default="")
@opt("--family NAME", "Only blocks of this family.", default="")
@opt("--patches LOW-HIGH", "Only blocks with so many patches, e.g. 1-19.", default="")
@opt("--set-in/--no-set-in set_in", "Only blocks with, or without, set-in seams.", default=None)
@opt("--curved/--straight curved", "Only blocks with, or without, curved seams.", default=None)
@opt(
    "--centre SHARE",
    "Only blocks whose square centre takes at least this share of the area.",
    Number(0, 1),
    default=0.0,
)
@opt(
    "--check check PATH",
    "Check a block file, or all block files of a folder, and report every fault.",
    PLACE,
)
@BLOCK_FOLDERS
@opt("-o --output", "Write a picture (.svg, .png, .pdf) of the block.", FILE)
@opt(
    "--sheet FILE",
    "Write a drawing sheet of the block: on a graph grid, shaded, taken apart.",
    FILE,
)
@opt("--gallery DIR", "Write the chosen blocks by family as gallery.html and gallery.pdf.", FOLDER)
@PAPER
@opt(
    "--recolour",
    "Dark and light exchanged; or four values instead of two.",
    ["negative", "four-values"],
)
@FORCE
@opt("--json as_json", "Print facts as JSON.")
def command(**options: Any) -> None:
    """List the blocks, show one, or check block files.

    \b
    Examples:
      quiltgeom blocks
      quiltgeom blocks --search star
      quiltgeom blocks --family nine-patch --no-set-in --patches 1-19
      quiltgeom blocks --centre 0.33
      quiltgeom blocks "Churn Dash" -o churn-dash.png
      quiltgeom blocks "Churn Dash" --recolour negative -o light-on-dark.png
      quiltgeom blocks --gallery gallery/
      quiltgeom blocks --check my-blocks/
    """
    from quiltgeom.jobs.content_checks import check_blocks
    from quiltgeom.jobs.library_lists import list_blocks

    output, sheet = options["output"], options["sheet"]
    check_outputs([output, sheet], [options["check"]], force=options["force"])
    if options["check"]:
        checked = check_blocks(options["check"])
        if output and checked.blocks:
            if checked.files > 1:
                raise QuiltValueError(f"--check -o: found {checked.files} files; accepted: one")
            checked.save(output, px=1000)
            click.echo(f"wrote {output}", err=True)
        say_findings(checked, checked.findings, options)
        return
    names = "folders text family set_in curved centre recolour paper".split()
    wanted = {name: options[name] for name in names}
    found = list_blocks(options["name"] or "", patches=_span(options["patches"]), **wanted)
    if sheet:
        click.echo(f"wrote {found.save_sheet(sheet)}")
    elif folder := options["gallery"]:
        with bar("drawing blocks") as step:
            written = found.save_folder(folder, force=options["force"], progress=step)
        for path in written:
            click.echo(f"wrote {path}")
    else:
        say(found, options, bold=r"^\S.*?(?= \(also |$)")
        if output:
            found.save(output, px=900)
            click.echo(f"wrote {output}", err=options["as_json"])


def _span(text: str) -> tuple[int, int] | None:
    if not text:
        return None
    found = re.fullmatch(r"([0-9]{1,6})(?:-([0-9]{1,6}))?", text.strip())
    if not found:
        raise QuiltValueError(
            f"--patches: found {shown(text)}; accepted: a count or LOW-HIGH, e.g. 1-19"
        )
    return int(found[1]), int(found[2] or found[1])
