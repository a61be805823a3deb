"""``quiltgeom onhand``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from quiltgeom.cli.types import LENGTH, Parsed
from quiltgeom.errors import QuiltValueError
from quiltgeom.units import format_inches, parse_length

AMOUNT = Parsed("length", lambda t: parse_length(t, what="amount", allow_zero=True))


@click.command(name="onhand")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--index", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE",
              help="The index file (on-hand.sqlite in the folder).")
@click.option("--width", type=LENGTH,
              help="Real width of the pictures for which nothing else says it, e.g. 12in.")
@click.option("--workers", type=click.IntRange(1, 256), help="Processes (one for each core).")
@click.option("--quick", is_flag=True, help="Only what choosing companions needs.")
@click.option("--again", is_flag=True, help="Read every picture anew.")
@click.option("--note", "which", metavar="NAME", help="Write down something about this swatch:")
@click.option("--call", metavar="TEXT", help="... what it is called,")
@click.option("--length", type=AMOUNT, help="... the length of cloth on hand, e.g. '1 1/2 yd',")
@click.option("--across", type=AMOUNT, help="... its width on hand, e.g. 42in,")
@click.option("--say", metavar="TEXT", help="... your notes on it,")
@click.option("--picture-width", type=LENGTH, help="... the real width of its picture.")
@click.option("--json", "as_json", is_flag=True, help="Print the list as JSON.")
def command(**options: Any) -> None:  # fmt: skip
    """Read a folder of swatches into its index, and list what is on hand.

    Only what is new or has changed is read. It may be interrupted at any moment.

    \b
    Examples:
      quiltgeom onhand swatches --width 12in
      quiltgeom onhand swatches --note kelp --length "1 1/2 yd" --across 42in --say "washed"
    """
    from quiltgeom.cli.progress import bar
    from quiltgeom.onhand.index import open_index
    from quiltgeom.onhand.indexing import index_folder

    _check_note(options)
    with bar("reading swatches") as step:
        report = index_folder(
            options["folder"], options["index"], width=options["width"],
            workers=options["workers"], quick=options["quick"], again=options["again"],
            progress=step,
        )  # fmt: skip
    with open_index(report.index) as index:
        if options["which"]:
            index.say(index.find(options["which"]), **_said(options))
        if options["as_json"]:
            click.echo(json.dumps(index.to_json(), indent=2, ensure_ascii=False))
        else:
            _show(index, report)


def _said(options: dict[str, Any]) -> dict[str, Any]:
    said = {"name": options["call"], "length_on_hand": options["length"],
            "width_on_hand": options["across"], "notes": options["say"],
            "picture_width": options["picture_width"]}  # fmt: skip
    return {k: v for k, v in said.items() if v is not None}


def _check_note(options: dict[str, Any]) -> None:
    said = _said(options)
    if bool(said) != bool(options["which"]):
        what = "--note alone" if options["which"] else "something to note"
        raise QuiltValueError(
            f"onhand: found {what}; accepted: --note NAME with --call, --length, --across, --say "
            "or --picture-width"
        )


def _show(index: Any, report: Any) -> None:
    for swatch in index.swatches():
        if swatch.status != "read":
            continue
        amounts = (swatch.width_on_hand, swatch.length_on_hand)
        amount = " x ".join(format_inches(v) for v in amounts if v is not None)
        row = [f"{swatch.name:<24}", f"{amount:<16}", index.gist(swatch), swatch.notes]
        click.echo("  ".join(row).rstrip())
    for path, reason in report.unreadable:
        click.echo(f"not read: {path}: {reason}", err=True)
    for before, after in report.moved:
        click.echo(f"followed: {before} -> {after}", err=True)
    numbers = [f"{report.found} found", f"{report.read} read now", f"{report.missing} gone",
               f"{len(report.unreadable)} unreadable"]  # fmt: skip
    if report.waiting:
        numbers.append(f"{report.waiting} left for the next run")
    if report.older:
        numbers.append(f"{report.older} read by an earlier version (--again reads them anew)")
    click.echo(f"{report.index}: " + ", ".join(numbers), err=True)
