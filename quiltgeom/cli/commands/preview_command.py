"""``quiltgeom preview``."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

import quiltgeom as qg
from quiltgeom.cli.output_options import (
    FORCE,
    PATTERN,
    VARIANT,
    check_outputs,
    check_pictures,
    design_inputs,
    file_or_pattern,
)
from quiltgeom.cli.types import (
    DEGREES,
    FILE,
    LENGTH,
    LENGTHS,
    PLACE,
    SIZE,
    Number,
    declared_fabric,
    fabric_option,
    opt,
    pictures,
)
from quiltgeom.cutting.buying.yardage import BEDS, bed_quilt
from quiltgeom.errors import QuiltValueError
from quiltgeom.model.fabric import DIRECTIONS


@click.command(name="preview")
@click.argument("design", required=False, type=FILE)
@pictures(
    "Picture to write: .svg, .png or .pdf; may be given several times.", "FILE", required=True
)
@PATTERN
@opt("--focus PHOTO", "Short for --fabric focus=PHOTO.", PLACE)
@opt("--width", "Real width of the --focus photo, e.g. 12in.", LENGTH)
@opt(
    "--direction",
    "Print of the --focus photo; one that nobody declared is kept upright.",
    DIRECTIONS,
)
@opt(
    "--up DEG", "Where the print's up points in the --focus photo, clockwise from its top.", DEGREES
)
@fabric_option("Fabric of a role; keys: width, direction, up, repeat, repeat_kind, motif.")
@opt("--rows", "Rows of blocks.", click.IntRange(1, 1000))
@opt("--columns", "Columns of blocks.", click.IntRange(1, 1000))
@opt("--block", "Finished block size, e.g. 9in.", LENGTH)
@opt("--size", "Wanted finished size, e.g. 44inx60in.", SIZE)
@opt("--bed", "Size for a bed: a drop of 12 inches on three sides, no tuck.", sorted(BEDS))
@opt("--borders", "Widths of the plain borders, e.g. '1in,4in'.", LENGTHS)
@opt("--sashing", "Width of the sashing.", LENGTH)
@opt("--seed", "Other places of the cloth.", click.IntRange(0, 2**31))
@opt("--fussy ROLE", "Centre this role on the motif.", multiple=True)
@opt(
    "--as-cut plan.json",
    "Show each patch where this plan of 'quiltgeom cut' cuts it from the cloth.",
    FILE,
)
@opt(
    "--style",
    "Real cloth; mean colours; greys of equal lightness; lines to colour in.",
    ["cloth", "flat", "values", "lines"],
    default="cloth",
)
@opt("--seams", "Draw a fine line along every seam.")
@opt("--px", "PNG: longer side in pixels (1500).", click.IntRange(1, 32000))
@opt("--ppi", "PNG: pixels per inch.", Number(0.01, 2400))
@opt("--cloth-ppi", "SVG: resolution of the embedded swatches (72).", Number(1, 2400))
@opt("--save DESIGN.toml", "Also write the design file of these options.", FILE)
@VARIANT
@FORCE
@opt("--json as_json", "Print facts as JSON.")
def command(**options: Any) -> None:
    """Show a quilt in its real fabrics, at true scale, the right way up.

    \b
    Examples:
      quiltgeom preview designs/harbour.toml -o quilt.svg -o quilt.png
      quiltgeom preview --pattern gull-cove --focus photo.jpg --width 12in -o quilt.png
      quiltgeom preview --pattern tide-tables --size 44inx60in \\
        --fabric focus=photo.jpg,width=12in,direction=one-way \\
        --fabric background=#f3ead8 --fabric accent=#2f5d73 -o quilt.pdf
    """
    check_pictures(options["outputs"])
    design = _design(options)
    inputs = design_inputs(design, options["design"], options["as_cut"])
    check_outputs([*options["outputs"], options["save"]], inputs, force=options["force"])
    made = qg.preview(design, **{name: options[name] for name in ("style", "seams", "as_cut")})
    for path in options["outputs"]:
        made.save(path, **{name: options[name] for name in ("px", "ppi", "cloth_ppi")})
    if options["save"]:
        qg.write_design(design, options["save"])
    if options["as_json"]:
        data = made.to_json() | {"files": [str(p) for p in options["outputs"]]}
        click.echo(json.dumps(data, indent=2))
        return
    click.echo(made.lines()[0])
    for note in made.notes:
        click.echo(f"note: {note}", err=True)
    for path in options["outputs"]:
        click.echo(f"wrote {path}")


def _design(options: dict[str, Any]) -> qg.Design:
    """The design file, or one made of the options; given options win over the file."""
    design = file_or_pattern("preview", options).in_variant(options["variant"])
    fabrics = {**design.fabrics, **dict(options["fabrics"]), **_focus(options)}
    names = ("rows", "columns", "size", "borders", "sashing", "seed")
    changes: dict[str, Any] = {name: options[name] for name in names}
    changes |= {"block_size": options["block"], "fussy": options["fussy"] or None}
    if options["bed"]:
        if options["size"]:
            raise QuiltValueError("--bed: found also --size; accepted: one of them")
        changes["size"] = bed_quilt(options["bed"])
    given = {key: value for key, value in changes.items() if value is not None}
    counts = dict.fromkeys(("rows", "columns", "block_size"))
    if "size" in given:
        given = counts | given
    elif given.keys() & counts.keys():
        given["size"] = None
    return replace(design, fabrics=fabrics, **given)


def _focus(options: dict[str, Any]) -> dict[str, qg.Fabric]:
    photo: Path | None = options["focus"]
    if photo is None:
        if options["width"] is not None:
            raise QuiltValueError("--width: found no --focus; accepted: --focus PHOTO --width 12in")
        return {}
    declared = {"direction": options["direction"], "up_deg": options["up"]}
    fabric = declared_fabric(photo.stem, image=photo, width=options["width"], **declared)
    return {"focus": fabric}
