"""``quiltgeom patterns``."""

import json
from pathlib import Path
from typing import Any

import click

from quiltgeom.cli.output_options import FORCE, PATTERNS, check_outputs, tell_findings
from quiltgeom.cli.types import FILE, opt
from quiltgeom.units import format_inches


@click.command(name="patterns")
@click.argument("names", nargs=-1, metavar="[NAME|FILE]...")
@PATTERNS
@opt("--check", "Check pattern files, or all of folders, and report every fault.")
@opt("-o --output", "Write a picture (.svg, .png, .pdf) of the pattern in plain colours.", FILE)
@opt("--px", "PNG: longer side in pixels (1500).", click.IntRange(1, 32000))
@FORCE
@opt("--json as_json", "Print facts as JSON.")
def command(names: tuple[str, ...], output: Path | None, as_json: bool, **options: Any) -> None:
    """List the patterns, show some, or check pattern files.

    \b
    Examples:
      quiltgeom patterns
      quiltgeom patterns tide-tables -o tide-tables.png
      quiltgeom patterns --json
      quiltgeom patterns --patterns my-patterns/
      quiltgeom patterns --check my-patterns/ slip.toml
    """
    from quiltgeom.errors import QuiltValueError
    from quiltgeom.library.patterns import load_patterns, pattern_path

    if options["check"]:
        from quiltgeom.piecing.pattern_check import check_patterns

        if not names:
            raise QuiltValueError("patterns --check: found no path; accepted: files and folders")
        files, findings = check_patterns(names)
        tell_findings(findings, files, "pattern", as_json=as_json)
        return
    library = load_patterns(*options["pattern_folders"])
    chosen = [library.get(name) for name in names] or list(library)
    if output and len(names) != 1:
        raise QuiltValueError(
            f"patterns -o: found {len(names) or 'no'} NAME; accepted: the name of one pattern"
        )
    check_outputs([output], map(pattern_path, names), force=options["force"])
    facts = [_facts(p) for p in chosen]
    if as_json:
        click.echo(json.dumps(facts[0] if len(names) == 1 else {"patterns": facts}, indent=2))
    else:
        for row in facts:
            _show(row)
    if output:
        from quiltgeom.model.design import Design
        from quiltgeom.render.preview import preview

        preview(Design(chosen[0]), seams=True).save(output, px=options["px"])
        click.echo(f"wrote {output}", err=as_json)


def _facts(pattern: Any) -> dict[str, Any]:
    from quiltgeom.layout.quilt_layout import lay_out

    quilt = lay_out(pattern)
    largest = max((p for p in quilt if p.role == pattern.main_role), key=lambda p: p.area)
    box = largest.polyline
    main = box.max(axis=0) - box.min(axis=0)
    return {
        "key": pattern.key,
        "name": pattern.name,
        "summary": pattern.summary,
        "setting": pattern.setting,
        "block_in": pattern.block_size,
        "rows": pattern.rows,
        "columns": pattern.columns,
        "width_in": round(quilt.width, 6),
        "height_in": round(quilt.height, 6),
        "patches": len(quilt),
        "main_role": pattern.main_role,
        "main_patch_in": [round(float(v), 6) for v in main],
        "roles": {
            r.name: {
                "cut": r.cut,
                "lie": r.lie,
                "share": round(quilt.area_by_role[r.name] / (quilt.width * quilt.height), 4),
            }
            for r in pattern.roles.values()
        },
    }


def _show(row: dict[str, Any]) -> None:
    size = f"{format_inches(row['width_in'])} x {format_inches(row['height_in'])}"
    main = " x ".join(format_inches(v) for v in row["main_patch_in"])
    cut = row["roles"][row["main_role"]]
    click.secho(f"{row['key']}", bold=True)
    click.echo(f"  {row['summary']}")
    click.echo(
        f"  {row['setting']}, {size}, {row['patches']} patches; largest {row['main_role']} patch "
        f"{main}, cut {'independently' if cut['cut'] == 'independent' else 'from strips'}"
    )
