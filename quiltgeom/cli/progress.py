"""A progress bar on stderr."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager

import click

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
