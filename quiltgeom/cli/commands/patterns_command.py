"""``quiltgeom patterns``."""

from pathlib import Path
from typing import Any

import click

from quiltgeom.cli.output_options import FORCE, PATTERNS, check_outputs, say, say_findings
from quiltgeom.cli.types import FILE, opt
from quiltgeom.errors import QuiltValueError


@click.command(name="patterns")
@click.argument("names", nargs=-1, metavar="[NAME|FILE]...")
@PATTERNS
@opt("--check", "Check pattern files, or all of folders, and report every fault.")
@opt("-o --output", "Write a picture (.svg, .png, .pdf) of the pattern in plain colours.", FILE)
@opt("--px", "PNG: longer side in pixels (1500).", click.IntRange(1, 32000))
@FORCE
@opt("--json as_json", "Print facts as JSON.")
def command(**options: Any) -> None:
    """List the patterns, show some, or check pattern files.

    \b
    Examples:
      quiltgeom patterns
      quiltgeom patterns tide-tables -o tide-tables.png
      quiltgeom patterns --json
      quiltgeom patterns --patterns my-patterns/
      quiltgeom patterns --check my-patterns/ slip.toml
    """
    from quiltgeom.jobs.content_checks import check_patterns
    from quiltgeom.jobs.library_lists import list_patterns

    names, output = options["names"], options["output"]
    if options["check"]:
        if not names:
            raise QuiltValueError("patterns --check: found no path; accepted: files and folders")
        checked = check_patterns(names)
        say_findings(checked, checked.findings, options)
        return
    found = list_patterns(names, folders=options["pattern_folders"])
    if output and len(names) != 1:
        raise QuiltValueError(
            f"patterns -o: found {len(names) or 'no'} NAME; accepted: the name of one pattern"
        )
    check_outputs([output], map(Path, names), force=options["force"])
    say(found, options, bold=r"^\S.*")
    if output:
        found.save(output, px=options["px"])
        click.echo(f"wrote {output}", err=options["as_json"])
