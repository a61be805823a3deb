"""``quiltgeom blocks``."""

import json
import re
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from quiltgeom.cli.output_options import BLOCK_FOLDERS, FORCE, PAPER, check_outputs, tell_findings
from quiltgeom.cli.types import FILE, FOLDER, PLACE, Number, opt
from quiltgeom.errors import Finding, QuiltFileError, QuiltValueError, shown


@click.command(name="blocks")
@click.argument("name", required=False)
@opt("--search TEXT", "Only blocks whose names or family hold this text.")
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
def command(name: str | None, output: Path | None, as_json: bool, **options: Any) -> None:
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
    from quiltgeom.library.block_facts import search_blocks
    from quiltgeom.library.blocks import load_blocks, name_key

    sheet, paper, force = options["sheet"], options["paper"], options["force"]
    check_outputs([output, sheet], [options["check"]], force=force)
    if options["check"]:
        _check(options["check"], as_json, output)
        return
    library = load_blocks(*options["folders"])
    chosen = list(library.find(name)) if name else list(library)
    if name and not chosen:
        library.get(name)  # raises, and names the nearest
    wanted = {key: options[key] for key in ("family", "set_in", "curved")}
    wanted |= {"text": options["search"] or "", "centre_at_least": options["centre"]}
    chosen = search_blocks(chosen, patches=_span(options["patches"]), **wanted)
    if how := options["recolour"]:
        chosen = [b.inverted() if how == "negative" else b.in_four_values() for b in chosen]
    by_key = [b for b in chosen if name and b.key == name_key(name)]  # a key means one drawing
    if sheet:
        _sheet(by_key or chosen, sheet, paper)
        return
    if options["gallery"]:
        _gallery(chosen, options["gallery"], paper, force)
        return
    if as_json:
        click.echo(json.dumps({"blocks": [_facts(b) for b in chosen]}, indent=2))
    else:
        for block in chosen:
            _show(_facts(block), whole=bool(name))
    if output:
        _draw(by_key or chosen, output)
        click.echo(f"wrote {output}", err=as_json)


def _span(text: str) -> tuple[int, int] | None:
    if not text:
        return None
    found = re.fullmatch(r"([0-9]{1,6})(?:-([0-9]{1,6}))?", text.strip())
    if not found:
        raise QuiltValueError(
            f"--patches: found {shown(text)}; accepted: a count or LOW-HIGH, e.g. 1-19"
        )
    return int(found[1]), int(found[2] or found[1])


def _facts(block: Any) -> dict[str, Any]:
    from quiltgeom.library.block_facts import block_facts

    facts = asdict(block_facts(block))
    facts.pop("area_share")
    return {
        "key": block.key,
        "name": block.name,
        "aliases": list(block.aliases),
        "family": block.family,
        "grid": [block.width, block.height],
        "patches": len(block.patches),
        "area_share": {role: round(share, 6) for role, share in block.area_share.items()},
        **{k: round(v, 6) if isinstance(v, float) else v for k, v in facts.items()},
        "source": block.source,
        "notes": block.notes,
    }


def _show(row: dict[str, Any], *, whole: bool) -> None:
    also = f" (also {', '.join(row['aliases'])})" if row["aliases"] else ""
    shares = ", ".join(f"{role} {share:.0%}" for role, share in row["area_share"].items())
    click.secho(row["name"], bold=True, nl=False)
    click.echo(also)
    w, h = row["grid"]
    click.echo(
        f"  {row['key']}: {row['family']}, {w:g} x {h:g}, {row['patches']} patches; {shares}"
    )
    seams = "curved seams" if row["curved"] else "straight seams"
    set_in = f", {row['set_in_points']} set-in points" if row["set_in_points"] else ""
    click.echo(
        f"  {len(row['shapes'])} shapes, symmetry {row['symmetry']}, {seams}{set_in}, "
        f"smallest angle {row['smallest_angle']:.3g} degrees"
    )
    if whole:
        shapes = " + ".join(str(n) for n in row["shapes"])
        click.echo(
            f"  patches of each shape {shapes}; symmetry without colours {row['symmetry_plain']}; "
            f"{row['meeting_points']} points where seams meet; smallest edge "
            f"{row['smallest_edge']:.4g}, square centre {row['centre_share']:.0%}"
        )
        for text in (row["notes"], row["source"]):
            if text:
                click.echo(click.wrap_text(text, 96, "  ", "  "))


def _one(chosen: Sequence[Any], option: str) -> Any:
    if len(chosen) != 1:
        keys = ", ".join(b.key for b in chosen[:8])
        raise QuiltValueError(
            f"blocks {option}: found {len(chosen)} blocks ({keys}); accepted: one"
        )
    return chosen[0]


def _draw(chosen: Sequence[Any], output: Path) -> None:
    from quiltgeom.render.answer import save_scene
    from quiltgeom.render.mockup import block_scene

    save_scene(block_scene(_one(chosen, "-o"), 6.0), output, px=900)


def _size(paper: str) -> tuple[float, float]:
    from quiltgeom.documents.sheet import A4, LETTER

    return A4 if paper == "a4" else LETTER


def _sheet(chosen: Sequence[Any], output: Path, paper: str) -> None:
    from quiltgeom.documents.block_gallery.block_pages import drawing_sheet
    from quiltgeom.render.answer import save_scene

    page = drawing_sheet(_one(chosen, "--sheet"), _size(paper))
    click.echo(f"wrote {save_scene(page, output)}")


def _gallery(chosen: Sequence[Any], folder: Path, paper: str, force: bool) -> None:
    from quiltgeom.cli.progress import bar
    from quiltgeom.documents.block_gallery.gallery import write_gallery
    from quiltgeom.library.block_facts import describe_block, short_facts

    with bar("drawing blocks") as step:
        written = write_gallery(
            chosen,
            folder,
            paper=_size(paper),
            describe=describe_block,
            short=short_facts,
            force=force,
            progress=step,
        )
    for path in written:
        click.echo(f"wrote {path}")


def _check(path: Path, as_json: bool, output: Path | None) -> None:
    from quiltgeom.library.block_file import check_block_file

    files = sorted(path.glob("*.toml")) if path.is_dir() else [path]
    if not files or not path.exists():
        raise QuiltFileError(f"check {path}: found no block file; accepted: a .toml file or folder")
    findings: list[Finding] = []
    for file in files:
        block, found, faults = check_block_file(file)
        findings += found
        if output and block is not None:
            from quiltgeom.documents.block_gallery.block_pages import fault_scene
            from quiltgeom.render.answer import save_scene

            if len(files) > 1:
                raise QuiltValueError(f"--check -o: found {len(files)} files; accepted: one")
            save_scene(fault_scene(block, faults), output, px=1000)
            click.echo(f"wrote {output}", err=True)
    tell_findings(findings, len(files), "block", as_json=as_json)
