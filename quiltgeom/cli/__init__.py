"""The command line: one file per command; the only place that prints, exits and parses options."""

import os
import signal
import sys
from importlib import import_module

import click

from quiltgeom.errors import QuiltError

COMMANDS = {
    name: f"quiltgeom.cli.commands.{name}_command"
    for name in (
        "demo blocks patterns preview read match sew templates cut kit advise onhand companions "
        "alike values marker"
    ).split()
}
"""Command name -> module that has a click command called ``command``; loaded when it is used."""


class _Commands(click.Group):
    """Loads the module of a command only when it is asked for, and reports errors in one line."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        if name not in COMMANDS:
            return None
        command: click.Command = import_module(COMMANDS[name]).command
        return command

    def invoke(self, ctx: click.Context) -> object:
        try:
            return super().invoke(ctx)
        except QuiltError as e:
            from quiltgeom.cli.report import in_options

            click.echo(f"quiltgeom: {in_options(str(e))}", err=True)
            sys.exit(2)
        except KeyboardInterrupt:
            click.echo("quiltgeom: stopped", err=True)
            sys.exit(130)


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="quiltgeom", prog_name="quiltgeom")
def cli() -> None:
    """Show a real print in a real quilt: true scale, right way up.

    \b
    Try:
      quiltgeom demo
      quiltgeom patterns
      quiltgeom preview --pattern gull-cove --focus photo.jpg --width 12in -o quilt.png
    """


def main() -> None:
    """Entry point of the ``quiltgeom`` script: the one place where an unforeseen error ends."""
    try:
        _run()
    except Exception as e:
        from quiltgeom.cli.report import write_report

        what = "not enough memory" if isinstance(e, MemoryError) else "an unforeseen error"
        click.echo(
            f"quiltgeom: {what}; this is our fault, not yours. What we need to mend it, and "
            f"nothing of yours, is in {write_report(e, COMMANDS)}",
            err=True,
        )
        sys.exit(1)


def _run() -> None:
    signal.signal(signal.SIGTERM, _stop)
    # swatches are read by one process per core, pictures drawn by one thread per band: threads of
    # linear algebra inside each of them would only stand in each other's way
    for library in ("OPENBLAS", "OMP", "MKL"):
        os.environ.setdefault(f"{library}_NUM_THREADS", "1")
    cli(prog_name="quiltgeom")


def _stop(*_: object) -> None:
    raise KeyboardInterrupt
