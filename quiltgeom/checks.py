"""How values guard themselves: all that is wrong with one is collected, and raised as one error."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping
from numbers import Integral, Real
from typing import Any

from quiltgeom.errors import Finding, QuiltValueError, raise_findings, shown

__all__ = [
    "FLAG",
    "TEXT",
    "WORDS",
    "Checks",
    "a",
    "as_tuples",
    "brief",
    "choice",
    "guard",
    "is_point",
    "lengths",
    "maybe",
    "number",
    "several",
    "table",
    "whole",
]

Rule = tuple[Callable[[Any], object], str]
"""What holds of a field, and what would be accepted."""

TEXT: Rule = (lambda v: isinstance(v, str) and v.strip(), "a text that is not empty")
WORDS: Rule = (lambda v: isinstance(v, str), "a text")
FLAG: Rule = (lambda v: isinstance(v, bool), "True, False")


def whole(low: int, high: int) -> Rule:
    """A whole number."""
    return (
        lambda v: isinstance(v, Integral) and not isinstance(v, bool) and low <= int(v) <= high,
        f"a whole number, {low} to {high}",
    )


def number(low: float, high: float, unit: str = "", *, above: bool = False) -> Rule:
    """A number from (or above) ``low`` up to ``high``; texts such as ``"12 in"`` are none."""
    span = f"above {low:g}, up to {high:g}" if above else f"{low:g} to {high:g}"
    return lambda v: _within(v, low, high, above), f"{span}{unit}, as a number"


def lengths(high: float, count: int = 0) -> Rule:
    """Several lengths above 0, inches."""

    def good(v: Any) -> bool:
        right = isinstance(v, tuple) and len(v) == (count or len(v))
        return right and all(_within(x, 0, high, True) for x in v)

    return good, f"{count or 'some'} lengths in inches, above 0, up to {high:g}, as numbers"


def choice(words: Collection[str]) -> Rule:
    """One of several words."""
    return lambda v: isinstance(v, str) and v in words, ", ".join(words)


def a(kind: type, accepted: str = "") -> Rule:
    """An object of a class."""
    return lambda v: isinstance(v, kind), accepted or f"a {kind.__name__}"


def several(kind: type | tuple[type, ...], accepted: str) -> Rule:
    """A tuple of objects of a class."""
    return lambda v: isinstance(v, tuple) and all(isinstance(x, kind) for x in v), accepted


def table(key: type, kind: type, accepted: str) -> Rule:
    """A mapping."""
    return (
        lambda v: (
            isinstance(v, Mapping)
            and all(isinstance(k, key) and isinstance(x, kind) for k, x in v.items())
        ),
        accepted,
    )


def maybe(rule: Rule) -> Rule:
    """None, or what the rule says."""
    return lambda v: v is None or rule[0](v), rule[1]


class Checks:
    """Collects the findings about one value.

    >>> check = Checks("border")
    >>> check.that("1 in", "width", number(0, 9)), check.that("up", "lie", choice(("upright",)))
    (False, False)
    >>> check.done()
    Traceback (most recent call last):
    ...
    quiltgeom.errors.ContentError: border: width: found '1 in'; accepted: 0 to 9, as a number
    border: lie: found 'up'; accepted: upright
    """

    def __init__(self, where: str) -> None:
        self.where = where.strip()
        self.findings: list[Finding] = []

    def add(self, rule: str, found: str, accepted: str, at: str = "") -> None:
        """One finding, ``at`` a place inside the value."""
        where = f"{self.where}: {at}" if at else self.where
        self.findings.append(Finding(where, rule, found, accepted))

    def that(self, value: object, name: str, rule: Rule, at: str = "") -> bool:
        """Whether a rule holds of a value; a finding if not."""
        holds = bool(rule[0](value))
        if not holds:
            self.add(name, shown(value), rule[1], at)
        return holds

    def fields(self, value: object, **rules: Rule) -> None:
        """Rules for the fields of a value."""
        for name, rule in rules.items():
            self.that(getattr(value, name), name.replace("_", " "), rule)

    def passes(self, test: Callable[[Any], object], value: object) -> None:
        """What an own check of a value has to say, in the usual form."""
        try:
            test(value)
        except QuiltValueError as e:
            rule, _, rest = str(e).partition(": found ")
            found, _, accepted = rest.partition("; accepted: ")
            self.add(rule, found, accepted)

    def done(self) -> None:
        """Raise what was found, if anything was."""
        raise_findings(self.findings)


def guard(value: object, **rules: Rule) -> None:
    """Refuse a value of which the fields do not keep these rules."""
    check = Checks(type(value).__name__.removesuffix("Spec").lower())
    check.fields(value, **rules)
    check.done()


def _within(value: object, low: float, high: float, above: bool) -> bool:
    number: Any = value if isinstance(value, Real) and not isinstance(value, bool) else math.nan
    return bool(low < number <= high if above else low <= number <= high)


def is_point(value: object) -> bool:
    """Whether something is two finite numbers."""
    pair = isinstance(value, tuple) and len(value) == 2
    return pair and all(_within(v, -1e9, 1e9, False) for v in value)  # type: ignore[attr-defined]


def as_tuples(value: object, *names: str) -> None:
    """Lists in these fields of a frozen value become tuples, so that it equals its like."""
    for name in names:
        if isinstance(given := getattr(value, name), list):
            object.__setattr__(value, name, tuple(given))


def brief(text: str) -> str:
    """What a large value says of itself, in a line of less than 200 characters.

    >>> brief("Block star"), len(brief("Quilt " * 100))
    ('<Block star>', 182)
    """
    line = " ".join(text.split())
    return f"<{line}>" if len(line) < 190 else f"<{line[:177]}...>"
