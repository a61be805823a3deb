"""Errors on the command line: words of Python as options; and what is written down of an unforeseen
one: where in our code, and nothing of the user's."""

import os
import platform
import re
import sys
import tempfile
import traceback
from collections.abc import Collection
from pathlib import Path

import click

from quiltgeom.outputs.manifest import made_with

_OPTIONS = {
    "or force=True": "or --force",
    "(again=True": "(--again",
    "such as width=12": "such as --width 12in",
    "accepted: have= with": "accepted: --have with",
    "size, copies, class_sheet or foundation;": "--size, --copies, --class-sheet or --foundation;",
    "blocks picture:": "blocks -o:",
    "blocks sheet:": "blocks --sheet:",
}
"""Where a message names an argument of Python: what a command calls it."""


def in_options(text: str) -> str:
    """A message with the options of the command line in place of Python's arguments.

    >>> in_options("accepted: another folder, or force=True")
    'accepted: another folder, or --force'
    """
    for argument, option in _OPTIONS.items():
        text = text.replace(argument, option)
    return text


_PACKAGE = Path(__file__).resolve().parents[1]


def report_text(error: BaseException, known: Collection[str] = ()) -> str:
    """Kinds of error and places in code, versions, the command's name and which options it had.

    No message of an error and no value: they may hold names, folders, or what somebody wrote.
    """
    lines = ["quiltgeom: report of an unforeseen error", ""]
    chain: list[BaseException] = [error]
    while (cause := chain[-1].__cause__ or chain[-1].__context__) and len(chain) < 5:
        chain.append(cause)
    for e in chain:
        lines.append(f"{type(e).__module__}.{type(e).__qualname__}")
        frames = traceback.extract_tb(e.__traceback__)
        lines += [f"  {_place(f.filename)}:{f.lineno} {f.name}" for f in frames[-40:]]
    lines += ["", f"command {_command(known)}"]
    lines += [f"{k} {v}" for k, v in made_with().items()]
    lines.append(f"python {platform.python_version()}, {platform.system()} {platform.machine()}")
    return "\n".join(lines) + "\n"


def _place(name: str) -> str:
    path = Path(name)
    if path.is_relative_to(_PACKAGE):
        return path.relative_to(_PACKAGE.parent).as_posix()
    return "/".join(path.parts[-2:]) if "site-packages" in path.parts else path.name


def _command(known: Collection[str]) -> str:
    """The command and the names of its options."""
    words = [w for w in sys.argv[1:2] if w in known]
    words += [w.split("=")[0] for w in sys.argv[2:] if re.match("--[a-z]", w)]
    return " ".join(words)


def write_report(error: BaseException, known: Collection[str]) -> str:
    """Write the report into the folder for temporary files; its name, or why there is none."""
    try:
        handle, name = tempfile.mkstemp(prefix="quiltgeom-report-", suffix=".txt")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(report_text(error, known))
    except OSError as e:
        click.echo(report_text(error, known), err=True)
        return f"the lines above ({e.strerror})"
    return name
