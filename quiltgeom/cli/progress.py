"""A progress bar on stderr."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click

__all__ = ["bar"]


@contextmanager
def bar(label: str) -> Iterator[Callable[[int, int], None]]:
    """A bar that is moved by calling the yielded function with (done, total)."""
    with click.progressbar(length=1, label=label, file=sys.stderr) as shown:

        def step(done: int, total: int) -> None:
            shown.length = total
            shown.update(done - shown.pos)

        yield step
