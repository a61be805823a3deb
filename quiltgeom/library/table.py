"""Reads TOML tables key by key, collecting a finding for everything that is wrong."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from quiltgeom.errors import ContentError, Finding, QuiltError, TextError
from quiltgeom.library.notation.expression import SMALLEST, evaluate
from quiltgeom.units import parse_length

T = TypeVar("T")
_MISSING = object()


class Table:
    """One table of a data file. Every getter returns a usable value even after a finding.

    >>> t = Table({"rows": "four", "colour": 1}, "mine.toml")
    >>> t.whole("rows", 3), t.unknown()
    (3, None)
    >>> for finding in t.findings: print(finding)
    mine.toml: rows is a whole number: found 'four'; accepted: 1 to 1000
    mine.toml: known keys only: found 'colour'; accepted: rows
    """

    def __init__(
        self, data: Mapping[str, Any], where: str, findings: list[Finding] | None = None
    ) -> None:
        self.data, self.where = data, where
        self.findings: list[Finding] = [] if findings is None else findings
        self._known: set[str] = set()

    def report(self, rule: str, found: object, accepted: str) -> None:
        """Add a finding about this table."""
        self.findings.append(Finding(self.where, rule, str(found), accepted))

    def has(self, key: str) -> bool:
        """Whether the key is there (and from now on known)."""
        self._known.add(key)
        return key in self.data

    def raw(self, key: str, default: Any = None) -> Any:
        """The value as it stands in the file."""
        self._known.add(key)
        return self.data.get(key, default)

    def text(self, key: str, default: str = "", *, required: bool = False) -> str:
        """A text."""
        value = self.raw(key, default)
        if not isinstance(value, str) or (required and not value.strip()):
            self.report(f"{key} is a text", repr(self.data.get(key)), f'{key} = "..."')
            return default
        return value

    def texts(self, key: str) -> list[str]:
        """A list of texts."""
        value = self.raw(key, [])
        if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
            self.report(f"{key} is a list of texts", repr(value), f'{key} = ["...", "..."]')
            return []
        return value

    def choice(self, key: str, options: tuple[str, ...], default: str) -> str:
        """One of the given words."""
        value = self.raw(key, default)
        if value not in options:
            self.report(f"{key} is one of the known words", repr(value), ", ".join(options))
            return default
        return str(value)

    def flag(self, key: str, default: bool = False) -> bool:
        """True or false."""
        value = self.raw(key, default)
        if not isinstance(value, bool):
            self.report(f"{key} is true or false", repr(value), "true, false")
            return default
        return value

    def whole(self, key: str, default: int, low: int = 1, high: int = 1000) -> int:
        """A whole number."""
        value = self.raw(key, default)
        if not isinstance(value, int) or isinstance(value, bool) or not low <= value <= high:
            self.report(f"{key} is a whole number", repr(value), f"{low} to {high}")
            return default
        return value

    def number(
        self, key: str, default: float, *, positive: bool = True, accepted: str = ""
    ) -> float:
        """A number or an expression; ``accepted``: what to say that it should be."""
        value = self.raw(key, default)
        try:
            number = evaluate(value)
        except QuiltError as e:
            accepted = accepted or str(e).split("accepted: ")[-1]
            self.report(f"{key} is a number", repr(value), accepted)
            return default
        if positive and number < SMALLEST:
            self.report(f"{key} is positive", repr(value), f"at least {SMALLEST:g}")
            return default
        return number

    def length(self, key: str, default: float | None = None) -> float | None:
        """A length in inches, or the default when the key is missing."""
        value = self.raw(key, _MISSING)
        if value is _MISSING:
            return default
        try:
            return parse_length(value, what=key)
        except QuiltError as e:
            self.report(f"{key} is a length", repr(value), str(e).split("accepted: ")[-1])
            return default

    def lengths(self, key: str, count: int | None = None) -> list[float] | None:
        """A list of lengths in inches, or None when the key is missing."""
        value = self.raw(key, _MISSING)
        if value is _MISSING:
            return None
        wanted = f"a list of {count} lengths" if count else "a list of lengths"
        if not isinstance(value, list) or (count and len(value) != count):
            self.report(f"{key} is {wanted}", repr(value), f'{key} = ["44 in", "60 in"]')
            return None
        try:
            return [parse_length(v, what=key) for v in value]
        except QuiltError as e:
            self.report(f"{key} is {wanted}", repr(value), str(e).split("accepted: ")[-1])
            return None

    def make(self, kind: Callable[..., T], *given: Any, **fields: Any) -> T | None:
        """A value of the model; what that finds wrong with itself is found here. Else None."""
        try:
            return kind(*given, **fields)
        except TextError as e:
            self.report("a usable file beside it", str(e), "")
        except ContentError as e:
            inside = (f.where.startswith(self.where) for f in e.findings)
            self.findings += [
                f if own else replace(f, where=self.where)
                for f, own in zip(e.findings, inside, strict=True)
            ]
        except QuiltError as e:
            self.report("a usable value", str(e), "")
        return None

    def table(self, key: str) -> dict[str, Any]:
        """A table of its own."""
        value = self.raw(key, {})
        if not isinstance(value, dict):
            self.report(f"{key} is a table", repr(value), f"[{key}]")
            return {}
        return value

    def tables(self, key: str) -> list[dict[str, Any]]:
        """A list of tables."""
        value = self.raw(key, [])
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            self.report(f"{key} is a list of tables", repr(value), f"[[{key}]]")
            return []
        return value

    def sub(self, data: Mapping[str, Any], name: str) -> Table:
        """A reader for a table inside this one; its findings are collected here."""
        return Table(data, f"{self.where}: {name}", self.findings)

    def unknown(self, *also: str) -> None:
        """Report every key that nobody asked for and that is none of these."""
        known = self._known.union(also)
        for key in sorted(set(self.data) - known):
            self.report("known keys only", repr(key), ", ".join(sorted(known)))
