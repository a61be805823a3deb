"""The arguments of a job are looked at before anything is done: names, kinds, words."""

import inspect
from collections.abc import Callable
from functools import cache, wraps
from pathlib import Path
from typing import Any, ParamSpec, TypeVar, get_type_hints

from quiltgeom.checks import Rule, annotated, unknown_option
from quiltgeom.errors import QuiltTypeError, QuiltValueError, shown
from quiltgeom.units import parse_length

P = ParamSpec("P")
R = TypeVar("R")

_ALWAYS = ("what", "print_", "designs")
"""Arguments that are looked at where they are resolved."""

_LENGTHS = (
    "size width swatch_width apart block_size borders sashing seam have need motif_in "
    "repeat_width_in repeat_height_in"
).split()
"""Arguments that are inches: texts such as ``"110 cm"`` are taken as well."""


def checks_arguments(*behind: Callable[..., Any]) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """A job that says which of its options is not known or not of a kind it can use.

    Lists do for tuples, texts such as ``"110 cm"`` for lengths, texts for paths.

    Args:
        behind: what further options are handed to.

    >>> @checks_arguments()
    ... def strips(count: int, wide: float = 2.5) -> float:
    ...     return count * wide
    >>> strips(3, wdie=2)  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    quiltgeom.errors.QuiltTypeError: strips: found an option 'wdie'; ...; did you mean wide?
    >>> strips("three")
    Traceback (most recent call last):
    ...
    quiltgeom.errors.QuiltTypeError: strips: count: found 'three'; accepted: a whole number
    """

    def guarded(job: Callable[P, R]) -> Callable[P, R]:
        name = getattr(job, "__name__", "job")

        @wraps(job)
        def checked(*args: P.args, **options: P.kwargs) -> R:
            rules = _rules(job, *behind)
            for key in options:
                if key not in rules:
                    raise unknown_option(name, key, rules)
            names = list(inspect.signature(job).parameters)[: len(args)]
            given: dict[str, Any] = dict(zip(names, args, strict=False)) | options
            for key, value in given.items():
                rule = None if key in _ALWAYS else rules.get(key)
                if value is None or not rule or rule[0](value):
                    continue
                given[key] = _meant(value, key in _LENGTHS)
                if not rule[0](given[key]):
                    raise QuiltTypeError(
                        f"{name}: {key}: found {shown(value)}; accepted: {rule[1]}"
                    )
            positional: Any = (*map(given.get, names), *args[len(names) :])
            keywords: Any = {key: given[key] for key in options}
            return job(*positional, **keywords)

        return checked

    return guarded


def _meant(value: Any, length: bool) -> Any:
    """A tuple for a list, inches for the text of a length, else a path for a text.

    >>> _meant({"focus": ["1 yd", 40]}, True), _meant(["110 cm", "a"], False)[0].name
    ({'focus': (36.0, 40)}, '110 cm')
    """
    if isinstance(value, list | tuple):
        return tuple(_meant(v, length) for v in value)
    if isinstance(value, dict):
        return {k: _meant(v, length) for k, v in value.items()}
    if not isinstance(value, str):
        return value
    if not length:
        return Path(value)
    try:
        return parse_length(value)
    except QuiltValueError:
        return value


@cache
def _rules(*jobs: Callable[..., Any]) -> dict[str, Rule | None]:
    """By option what would be accepted; the first that has it says so."""
    found: dict[str, Rule | None] = {}
    for n, job in enumerate(jobs):
        hints = get_type_hints(getattr(job, "__init__") if isinstance(job, type) else job)  # noqa: B009
        for key, parameter in inspect.signature(job).parameters.items():
            named = parameter.kind in (parameter.POSITIONAL_OR_KEYWORD, parameter.KEYWORD_ONLY)
            made_here = n and parameter.default is parameter.empty  # of the job's own arguments
            if named and not made_here:
                found.setdefault(key, annotated(hints[key]) if key in hints else None)
    return found
