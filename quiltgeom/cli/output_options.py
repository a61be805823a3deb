"""What commands write and print; no file takes the place of an input or of one that is not ours."""

import json
import re
import sys
import time
from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import click

from quiltgeom.cli.types import PLACE, opt
from quiltgeom.errors import ContentError, Finding, QuiltFileError, QuiltValueError
from quiltgeom.files import sweep
from quiltgeom.library.design_file import load_design
from quiltgeom.library.patterns import pattern_path
from quiltgeom.model.design import Design
from quiltgeom.outputs.folder import refuse_inputs
from quiltgeom.outputs.stamps import is_unchanged
from quiltgeom.render.answer import Answer, check_suffix

VARIANT = opt("--variant NAME", "A variant that the design file names.")

PATTERN = opt(
    "--pattern NAME|FILE",
    "A pattern instead of a design file: one of 'quiltgeom patterns', or a file of your own.",
)

PATTERNS = opt(
    "--patterns pattern_folders FOLDER",
    "A folder with patterns of your own, to choose from too.",
    PLACE,
    multiple=True,
)

BLOCK_FOLDERS = opt("--folder folders", "A folder with blocks of your own.", PLACE, multiple=True)

FROM = opt(
    "--from place FOLDER|INDEX",
    "Swatches on hand; a folder is looked through first.",
    PLACE,
    required=True,
)

GROUND = opt(
    "--ground",
    "What the background is to be.",
    ["light", "dark"],
    default="light",
    show_default=True,
)

PAPER = opt("--paper", "Paper of the pages.", ["letter", "a4"], default="letter", show_default=True)


FORCE = opt("--force", "Replace files that are not as quiltgeom wrote them.")


def check_outputs(
    outputs: Iterable[Path | None], inputs: Iterable[Path | None], *, force: bool
) -> None:
    """Refuse, before any work, outputs that would cost somebody a file.

    Raises:
        QuiltValueError: an output is an input, or two outputs are one file.
        QuiltFileError: a file stands there that is not as this library wrote it.
    """
    wanted = [p for p in outputs if p is not None]
    refuse_inputs(wanted, [p for p in inputs if p is not None])
    for path in wanted:
        if [p.absolute() for p in wanted].count(path.absolute()) > 1:
            raise QuiltValueError(f"output {path}: found it twice; accepted: each name once")
        if path.exists() and not force and not is_unchanged(path):
            raise QuiltFileError(
                f"output {path}: found a file that is not as quiltgeom wrote it; accepted: "
                "another name, or --force"
            )
        sweep(path.parent)


def design_inputs(design: Design, *files: Path | None) -> list[Path | None]:
    """The files that a design's output is made of: those given, its pattern's, and the pictures of
    its cloths."""
    return [*files, pattern_path(design.pattern), *(f.image for f in design.fabrics.values())]


def file_or_pattern(command: str, options: dict[str, Any]) -> Design:
    """The design of the file that was given, or of the pattern."""
    path, pattern = options["design"], options["pattern"]
    if (path is None) == (pattern is None):
        raise QuiltValueError(
            f"{command}: found {'neither' if path is None else 'both'} of a design file "
            "and --pattern; accepted: one of them"
        )
    return load_design(path) if path else Design(pattern)


def check_pictures(outputs: Iterable[Path]) -> None:
    """Refuse files that are no pictures by their endings.

    Raises:
        QuiltValueError: one is.
    """
    for path in outputs:
        check_suffix(path)


def say(made: Answer, options: dict[str, Any], *, bold: str = "", ascii: bool = True) -> None:
    """Print an answer: its data, or its words, in which all that matches ``bold`` stands out.

    Args:
        ascii: data in ASCII alone.
    """
    if options["as_json"]:
        click.echo(json.dumps(made.to_json(), indent=2, ensure_ascii=ascii))
    elif text := str(made):
        mark = re.compile(bold, re.MULTILINE)
        click.echo(mark.sub(lambda m: click.style(m[0], bold=True), text) if bold else text)


def say_findings(checked: Answer, findings: Collection[Finding], options: dict[str, Any]) -> None:
    """Print what a check found; ends with 2 where that is anything.

    Raises:
        ContentError: the findings, unless they are printed as JSON.
    """
    if findings and not options["as_json"]:
        raise ContentError(findings)
    say(checked, options)
    if findings:
        raise SystemExit(2)


_PATIENCE = 1.0
"""Seconds before a bar appears for what is mostly done at once."""


@contextmanager
def bar(label: str) -> Iterator[Callable[[int, int], None]]:
    """A bar that is moved by calling the yielded function with (done, total)."""
    with click.progressbar(length=1, label=label, file=sys.stderr) as shown:

        def step(done: int, total: int) -> None:
            shown.length = total
            shown.update(done - shown.pos)

        yield step


@contextmanager
def slow_bar(label: str) -> Iterator[Callable[[float, str], None]]:
    """The same, moved with (share, text), on a terminal only and where it takes a while."""
    with ExitStack() as stack:
        begin, steps = time.monotonic(), list[Callable[[int, int], None]]()

        def step(share: float, text: str) -> None:
            if not steps and sys.stderr.isatty() and time.monotonic() - begin > _PATIENCE:
                steps.append(stack.enter_context(bar(label)))
            for move in steps:
                move(round(100 * share), 100)

        yield step
