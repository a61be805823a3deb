"""Errors and findings: one clear message each, saying where, which rule, what, and what instead."""

from collections.abc import Iterable
from dataclasses import dataclass

_LONGEST = 300
"""Characters of a value that an error repeats: a file of a megabyte must not come back whole."""


class QuiltError(Exception):
    """Base of every error that this library raises on purpose."""


class QuiltValueError(QuiltError, ValueError):
    """A value does not make sense: the message says which, and what would be accepted."""


class QuiltTypeError(QuiltError, TypeError):
    """A thing of another kind than asked for."""


class QuiltKeyError(QuiltError, LookupError):
    """A name (of a block, a pattern, a role) is not known."""


class QuiltFileError(QuiltError, OSError):
    """A file is missing, unreadable, or not of the kind it claims to be."""

    def __str__(self) -> str:  # OSError would print an errno
        return str(self.args[0]) if self.args else ""


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One thing that a check has to say about a piece of content.

    Attributes:
        where: file and place, e.g. ``"my-star.toml: patch 3"``.
        rule: the rule that was broken, in words.
        found: what was received (with numbers and coordinates).
        accepted: what would be accepted instead.
        level: ``"error"`` (content cannot be used) or ``"note"`` (it can; the user should know).

    >>> print(Finding("star.toml: patch 2", "no overlap", "0.5 sq units at (1, 1)", "none"))
    star.toml: patch 2: no overlap: found 0.5 sq units at (1, 1); accepted: none
    """

    where: str
    rule: str
    found: str
    accepted: str = ""
    level: str = "error"

    def __str__(self) -> str:
        tail = f"; accepted: {self.accepted}" if self.accepted else ""
        return f"{self.where}: {self.rule}: found {_clipped(self.found)}{tail}"


class ContentError(QuiltValueError):
    """A block, pattern or design file has faults; ``findings`` holds ALL of them."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings: tuple[Finding, ...] = tuple(findings)
        super().__init__("\n".join(str(f) for f in self.findings))


class TextError(ContentError, QuiltFileError):
    """A text file cannot be read, or is not of the kind it claims to be: one finding."""


def shown(value: object) -> str:
    """A value as an error repeats it: quoted, and not at great length.

    >>> shown("2--1/2"), len(shown("9" * 10_000)), shown(10**5000)
    ("'2--1/2'", 303, 'a number of thousands of digits')
    """
    try:
        return _clipped(repr(value))
    except ValueError:  # Python's own limit for writing whole numbers
        return "a number of thousands of digits"


def _clipped(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}..."


def raise_findings(findings: Iterable[Finding]) -> None:
    """Raise :class:`ContentError` if any finding is an error; notes alone pass.

    >>> raise_findings([])
    """
    found = tuple(findings)
    if any(f.level == "error" for f in found):
        raise ContentError(found)
