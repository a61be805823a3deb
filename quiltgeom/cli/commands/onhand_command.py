"""``quiltgeom onhand``."""

import json
import sys
from pathlib import Path
from typing import Any

import click

from quiltgeom.cli.output_options import bar, say
from quiltgeom.cli.report import in_options
from quiltgeom.cli.types import FILE, LENGTH, PLACE, Parsed, opt
from quiltgeom.errors import QuiltValueError
from quiltgeom.units import parse_length

AMOUNT = Parsed("length", lambda t: parse_length(t, what="amount", allow_zero=True))


@click.command(name="onhand")
@click.argument("folder", type=PLACE)
@opt("--index FILE", "The index file (on-hand.sqlite in the folder).", FILE)
@opt("--width", "Real width of the pictures for which nothing else says it, e.g. 12in.", LENGTH)
@opt("--workers", "Processes (one for each core).", click.IntRange(1, 256))
@opt("--quick", "Only what choosing companions needs.")
@opt("--again", "Read every picture anew.")
@opt("--note which NAME", "Write down something about this swatch:")
@opt("--call TEXT", "... what it is called,")
@opt("--length", "... the length of cloth on hand, e.g. '1 1/2 yd',", AMOUNT)
@opt("--across", "... its width on hand, e.g. 42in,", AMOUNT)
@opt("--say TEXT", "... your notes on it,")
@opt("--picture-width", "... the real width of its picture.", LENGTH)
@opt("--check", "Only look whether the index is whole.")
@opt("--backup FILE", "Only copy the index to this file.", PLACE)
@opt("--repair", "Only make a new index of a damaged one, with all that can be saved.")
@opt("--export FILE", "Only write the list to this .csv or .json file.", PLACE)
@opt("--force", "--backup and --export may replace a file.")
@opt("--json as_json", "Print the list (or the check) as JSON.")
def command(**options: Any) -> None:
    """Read a folder of swatches into its index, and list what is on hand.

    Only what is new or has changed is read. It may be interrupted at any moment.

    \b
    Examples:
      quiltgeom onhand swatches --width 12in
      quiltgeom onhand swatches --note kelp --length "1 1/2 yd" --across 42in --say "washed"
      quiltgeom onhand swatches --export cloth.csv
    """
    if _only(options):
        _take_care(options)
        return
    from quiltgeom.jobs.cloth_on_hand import on_hand

    _check_note(options)
    with bar("reading swatches") as step:
        names = ("folder", "index", "width", "workers", "quick", "again")
        how = {name: options[name] for name in names}
        found = on_hand(swatch=options["which"], notes=_notes(options), progress=step, **how)
    say(found, options, ascii=False)
    for note in () if options["as_json"] else found.notes():
        click.echo(in_options(note), err=True)


_ONLY = ("check", "backup", "repair", "export")
_READING = ("width", "workers", "quick", "again", "which")


def _only(options: dict[str, Any]) -> bool:
    """Whether one of the options is given that read no pictures."""
    chosen = [o for o in _ONLY if options[o]]
    others = [o for o in _READING if options[o]]
    allowed = {"force": ("backup", "export"), "as_json": ("check", "")}
    others += [o for o, ways in allowed.items() if options[o] and (chosen or [""])[0] not in ways]
    if len(chosen) > 1 or (chosen and (others or _notes(options))) or "force" in others:
        found = " and ".join(f"--{_NAMES.get(o, o)}" for o in chosen + others) or "--say"
        raise QuiltValueError(
            f"onhand: found {found} together; accepted: one of --check (with --json), --backup or "
            "--export (with --force), --repair; or none of them"
        )
    return bool(chosen)


_NAMES = {"which": "note", "as_json": "json"}


def _take_care(options: dict[str, Any]) -> None:
    from quiltgeom.jobs.cloth_on_hand import backup_index, export_index

    place, force = options["index"] or options["folder"], options["force"]
    if options["check"]:
        _check(place, options["as_json"])
    elif options["repair"]:
        _repair(place)
    elif options["backup"]:
        click.echo(f"written: {backup_index(place, options['backup'], force=force)}", err=True)
    else:
        count = export_index(place, options["export"], force=force)
        click.echo(f"written: {options['export']}: {count} swatches", err=True)


def _check(place: Path, as_json: bool) -> None:
    from quiltgeom.jobs.cloth_on_hand import check_index

    report = check_index(place)
    if as_json:
        click.echo(json.dumps(report.to_json(), indent=2, ensure_ascii=False))
    else:
        for finding in report.findings:
            click.echo(str(finding))
    if report.findings:
        click.echo(f"{report.index}: damaged; --repair saves what can be read", err=True)
        sys.exit(2)
    click.echo(f"{report.index}: whole, {report.swatches} swatches", err=True)


def _repair(place: Path) -> None:
    from quiltgeom.jobs.cloth_on_hand import repair_index

    report = repair_index(place)
    if report.copy is None:
        click.echo(f"{report.index}: whole, nothing to repair")
        return
    for fault in report.faults:
        click.echo(f"was wrong: {fault}")
    for path, words in report.noted:
        click.echo(f"saved: {path}: {words}" if words else f"saved: {path}")
    for lost in report.lost:
        click.echo(f"not saved: {lost}")
    click.echo(f"as it was: {report.copy}")
    click.echo(
        f"{report.index}: new, {report.swatches} swatches saved, {len(report.noted)} of them with "
        "notes, names or amounts; the next run reads the pictures again"
    )


def _notes(options: dict[str, Any]) -> dict[str, Any]:
    keys = ("name", "length_on_hand", "width_on_hand", "notes", "picture_width")
    values = (options[o] for o in ("call", "length", "across", "say", "picture_width"))
    return {k: v for k, v in zip(keys, values, strict=True) if v is not None}


def _check_note(options: dict[str, Any]) -> None:
    notes = _notes(options)
    if bool(notes) != bool(options["which"]):
        what = "--note alone" if options["which"] else "something to note"
        raise QuiltValueError(
            f"onhand: found {what}; accepted: --note NAME with --call, --length, --across, --say "
            "or --picture-width"
        )
