"""How values guard themselves: all that is wrong with one is collected, and raised as one error."""

import difflib
import math
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence, Set
from dataclasses import fields
from functools import cache, wraps
from numbers import Integral, Real
from types import NoneType, UnionType
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

from quiltgeom.errors import Finding, QuiltTypeError, QuiltValueError, raise_findings, shown

Rule = tuple[Callable[[Any], object], str]
"""What holds of a field, and what would be accepted."""

ANY: Rule = (lambda v: True, "")  # something else looks at it
TEXT: Rule = (lambda v: isinstance(v, str) and v.strip(), "a text that is not empty")
_KINDS: dict[object, Rule] = {
    str: (lambda v: isinstance(v, str), "a text"),
    bool: (lambda v: isinstance(v, bool), "True, False"),
    int: (lambda v: isinstance(v, Integral) and not isinstance(v, bool), "a whole number"),
    float: (lambda v: _within(v, -1e9, 1e9, False), "a number"),
}


def whole(low: int, high: int) -> Rule:
    """A whole number."""
    return lambda v: _KINDS[int][0](v) and low <= v <= high, f"a whole number, {low} to {high}"


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


def choice(words: Any) -> Rule:
    """One of several words."""
    return lambda v: isinstance(v, str) and v in words, ", ".join(words)


@cache
def annotated(hint: Any) -> Rule:
    """What an annotation says of a field.

    >>> annotated(tuple[str, ...] | None)[1], annotated(Mapping[str, bool])[1]
    ('several, each a text', 'by a text, True, False')
    """
    kind, inside = get_origin(hint), get_args(hint)
    if hint in _KINDS:
        return _KINDS[hint]
    if kind is Literal:
        return choice(inside)
    if hint is Any or kind is Callable or getattr(hint, "_is_protocol", False):
        return lambda v: True, "anything"
    if kind is None:
        name = hint.__name__
        return lambda v: isinstance(v, hint), f"a{'n' * (name[0] in 'AEIO')} {name}"
    rules = [annotated(h) for h in inside if h not in (NoneType, ...)]
    tests, words = [test for test, _ in rules], [word for _, word in rules]
    if kind in (Union, UnionType):
        may_miss = NoneType in inside
        return lambda v: v is None if v is None and may_miss else any(t(v) for t in tests), (
            " or ".join(words)
        )
    if kind in (Sequence, Iterable, Collection):
        several = f"several, each {words[0]}"
        return lambda v: not isinstance(v, str) and _each(v, tests[0]), several
    if kind is not tuple:  # a mapping
        return (
            lambda v: (
                isinstance(v, Mapping) and all(tests[0](k) and tests[1](x) for k, x in v.items())
            ),
            f"by {words[0]}, {words[1]}",
        )
    if inside[-1] is ...:
        return lambda v: isinstance(v, tuple) and all(map(tests[0], v)), f"several, each {words[0]}"
    return (
        lambda v: (
            isinstance(v, tuple)
            and len(v) == len(tests)
            and all(test(x) for test, x in zip(tests, v, strict=True))
        ),
        f"({', '.join(words)})",
    )


def _each(values: Any, test: Callable[[Any], object]) -> bool:
    again = isinstance(values, Sequence | Set | Mapping) or hasattr(values, "__len__")
    return all(map(test, values)) if again else isinstance(values, Iterable)


_hints = cache(get_type_hints)
T = TypeVar("T")


def unknown_option(name: str, key: str, known: Collection[str]) -> QuiltTypeError:
    """The error of an option that is not known, the nearest of the known ones first.

    >>> print(unknown_option("fabric", "color", ("name", "colour")))
    fabric: found an option 'color'; accepted: colour, name; did you mean colour?
    """
    near = difflib.get_close_matches(key, known, n=2, cutoff=0.5)
    words = ", ".join([*near, *(k for k in known if k not in near)])
    hint = f"; did you mean {near[0]}?" if near else ""
    return QuiltTypeError(f"{name}: found an option {shown(key)}; accepted: {words}{hint}")


def spelled(kind: type[T]) -> type[T]:
    """A dataclass that says which of its fields a misspelt one may be."""
    init: Any = kind.__init__
    known = [f.name for f in fields(kind) if f.init]  # type: ignore[arg-type]

    @wraps(init)
    def checked(self: T, *given: Any, **named: Any) -> None:
        for key in named:
            if key not in known:
                raise unknown_option(kind.__name__, key, known)
        init(self, *given, **named)

    setattr(kind, "__init__", checked)  # noqa: B010
    return kind


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

    def fields(self, value: Any, **rules: Rule) -> set[str]:
        """Every field of a value holds what it is annotated with, or None if that is its default,
        and keeps the rule given here. Lists become tuples, so that the value equals its like.

        Returns:
            The fields that do not.
        """
        bad = set()
        for name, hint in _hints(type(value)).items():  # type: ignore[arg-type]
            given = getattr(value, name)
            if isinstance(given, list):
                given = tuple([tuple(v) if isinstance(v, list) else v for v in given])
                object.__setattr__(value, name, given)
            rule = rules.get(name)
            if rule is None or (given is None and annotated(hint)[0](None)):
                rule = annotated(hint)
            if not self.that(given, name.replace("_", " "), rule):
                bad.add(name)
        return bad

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


def brief(text: str) -> str:
    """What a large value says of itself, in a line of less than 200 characters.

    >>> brief("Block star"), len(brief("Quilt " * 100))
    ('<Block star>', 182)
    """
    line = " ".join(text.split())
    return f"<{line}>" if len(line) < 190 else f"<{line[:177]}...>"
