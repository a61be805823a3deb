"""The arguments of a job are looked at before anything is done: names, kinds, words."""

import difflib
import inspect
from collections.abc import Callable
from functools import cache, wraps
from typing import Any, ParamSpec, TypeVar, get_type_hints

from quiltgeom.checks import Rule, annotated
from quiltgeom.errors import QuiltTypeError, shown

P = ParamSpec("P")
R = TypeVar("R")

_ALWAYS = ("what", "print_", "designs")
"""Arguments that are looked at where they are resolved."""


def checks_arguments(*behind: Callable[..., Any]) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """A job that says which of its options is not known or not of a kind it can use.

    Args:
        behind: what further options are handed to.

    >>> @checks_arguments()
    ... def strips(count: int, wide: float = 2.5) -> float:
    ...     return count * wide
    >>> strips(3, wdie=2)
    Traceback (most recent call last):
    ...
    quiltgeom.errors.QuiltTypeError: strips: found an option 'wdie'; accepted: wide, count
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
                    near = difflib.get_close_matches(key, rules, n=2, cutoff=0.5)
                    known = ", ".join([*near, *(k for k in rules if k not in near)])
                    raise QuiltTypeError(f"{name}: found an option {shown(key)}; accepted: {known}")
            given = dict(zip(inspect.signature(job).parameters, args, strict=False)) | options
            for key, value in given.items():
                rule = None if key in _ALWAYS else rules.get(key)
                if value is not None and rule and not rule[0](value):
                    raise QuiltTypeError(
                        f"{name}: {key}: found {shown(value)}; accepted: {rule[1]}"
                    )
            return job(*args, **options)

        return checked

    return guarded


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
