"""How values guard themselves: all that is wrong with one is collected, and raised as one error."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping
from numbers import Integral, Real
from typing import Any

from quiltgeom.errors import Finding, QuiltValueError, raise_findings, shown

__all__ = ["Checks", "as_tuples", "brief", "is_point"]


class Checks:
    """Collects the findings about one value; every check says whether it holds.

    >>> check = Checks("border")
    >>> check.number("width", "1 in", 0, 9), check.choice("lie", "up", ("upright",))
    (False, False)
    >>> check.done()
    Traceback (most recent call last):
    ...
    quiltgeom.errors.ContentError: border: width: found '1 in'; accepted: a number, 0 to 9
    border: lie: found 'up'; accepted: upright
    """

    def __init__(self, where: str) -> None:
        self.where = where
        self.findings: list[Finding] = []

    def add(self, rule: str, found: str, accepted: str, at: str = "") -> None:
        """One finding, ``at`` a place inside the value."""
        where = f"{self.where}: {at}" if at else self.where
        self.findings.append(Finding(where, rule, found, accepted))

    def that(self, holds: bool, rule: str, found: object, accepted: str, at: str = "") -> bool:
        """A finding unless something holds."""
        if not holds:
            self.add(rule, shown(found), accepted, at)
        return holds

    def text(self, rule: str, value: object, *, empty: bool = False) -> bool:
        """A text that says something (or, if ``empty``, may say nothing)."""
        good = isinstance(value, str) and (empty or bool(value.strip()))
        return self.that(good, rule, value, "a text" if empty else "a text that is not empty")

    def flag(self, rule: str, value: object) -> bool:
        """True or false."""
        return self.that(isinstance(value, bool), rule, value, "True, False")

    def whole(self, rule: str, value: object, low: int, high: int) -> bool:
        """A whole number."""
        good = isinstance(value, Integral) and not isinstance(value, bool)
        accepted = f"a whole number, {low} to {high}"
        return self.that(good and low <= value <= high, rule, value, accepted)  # type: ignore[operator]

    def number(
        self,
        rule: str,
        value: object,
        low: float,
        high: float,
        *,
        above: bool = False,
        unit: str = "",
    ) -> bool:
        """A number from (or above) ``low`` up to ``high``; texts such as ``"12 in"`` are none."""
        span = f"above {low:g}, up to {high:g}{unit}" if above else f"{low:g} to {high:g}{unit}"
        accepted = span if isinstance(value, Real) else f"a number, {span}"
        return self.that(_within(value, low, high, above), rule, value, accepted)

    def lengths(self, rule: str, value: object, high: float, count: int = 0) -> bool:
        """Several lengths above 0, inches."""
        good = isinstance(value, tuple) and (not count or len(value) == count)
        many = f"{count} numbers of inches" if count else "numbers of inches"
        good = good and all(_within(v, 0, high, True) for v in value)  # type: ignore[attr-defined]
        return self.that(good, rule, value, f"{many} above 0, up to {high:g}")

    def choice(self, rule: str, value: object, words: Collection[str]) -> bool:
        """One of several words."""
        good = isinstance(value, str) and value in words
        return self.that(good, rule, value, ", ".join(words) or "none, there are none")

    def kind(self, rule: str, value: object, kind: type, accepted: str) -> bool:
        """An object of a class."""
        return self.that(isinstance(value, kind), rule, value, accepted)

    def several(self, rule: str, value: object, kind: type | tuple[type, ...], many: str) -> bool:
        """A tuple of objects of a class."""
        good = isinstance(value, tuple) and all(isinstance(v, kind) for v in value)
        return self.that(good, rule, value, many)

    def table(self, rule: str, value: object, key: type, kind: type, accepted: str) -> bool:
        """A mapping."""
        good = isinstance(value, Mapping) and all(
            isinstance(k, key) and isinstance(v, kind) for k, v in value.items()
        )
        return self.that(good, rule, value, accepted)

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


def _within(value: object, low: float, high: float, above: bool) -> bool:
    number: Any = value if isinstance(value, Real) and not isinstance(value, bool) else math.nan
    return bool(low < number <= high if above else low <= number <= high)


def is_point(value: object) -> bool:
    """Whether something is two finite numbers."""
    return (
        isinstance(value, tuple | list)
        and len(value) == 2
        and all(isinstance(v, Real) and math.isfinite(v) for v in value)
    )


def as_tuples(value: object, names: Iterable[str]) -> None:
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
