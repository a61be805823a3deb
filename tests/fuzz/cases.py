"""One case: its name, its bytes, and what comes of it."""

from __future__ import annotations

import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from random import Random

import click

from quiltgeom.errors import QuiltError

__all__ = ["Case", "Kind", "Outcome", "judge"]


@dataclass(frozen=True)
class Kind:
    """A kind of input.

    Attributes:
        make: the bytes of a case.
        run: what the library does with them, with a folder of its own to write in; returns whether
            there was an answer (else there were findings), or raises.
        weight: how often it is chosen.
    """

    make: Callable[[Random], bytes]
    run: Callable[[bytes, Path], bool]
    weight: int = 1


@dataclass(frozen=True)
class Case:
    """A case by its name ``GROUP-NUMBER``: equal names and seeds, equal bytes."""

    group: str
    number: int
    kind: str
    data: bytes

    @property
    def name(self) -> str:
        """E.g. ``texts-17-block``."""
        return f"{self.group}-{self.number}-{self.kind}"


@dataclass(frozen=True)
class Outcome:
    """What came of a case: ``answer``, ``error`` or ``crash``, with the place of a crash."""

    kind: str
    place: str = ""
    trace: str = ""


def judge(run: Callable[[bytes, Path], bool], data: bytes, folder: Path) -> Outcome:
    """Run one case: an answer, one clear error, or a crash."""
    try:
        return Outcome("answer" if run(data, folder) else "error")
    except (QuiltError, click.UsageError) as e:
        try:
            text = e.format_message() if isinstance(e, click.UsageError) else str(e)
        except Exception as inner:
            return _crash(inner)
        return Outcome("error") if text.strip() else Outcome("crash", "an error without words")
    except Exception as e:
        return _crash(e)


def _crash(e: Exception) -> Outcome:
    frames = traceback.extract_tb(e.__traceback__)
    own = [f for f in frames if "quiltgeom" in Path(f.filename).parts]
    last = (own or frames)[-1]
    place = f"{type(e).__name__} in {Path(last.filename).name}, {last.name}, line {last.lineno}"
    return Outcome("crash", place, "".join(traceback.format_exception(e))[-6000:])
