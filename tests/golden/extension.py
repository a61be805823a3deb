"""Golden data as JSON that a person can read: rounded, short lists on one line."""

from __future__ import annotations

import json
from typing import Any

from syrupy.extensions.json import JSONSnapshotExtension

DIGITS = 6
WIDE = 120


def rounded(data: Any) -> Any:
    """Plain data with numbers rounded to 1e-6; tuples as lists, whole numbers without a point.

    >>> rounded({"a": (1.0, -0.0, 2 / 3)})
    {'a': [1, 0, 0.666667]}
    """
    if isinstance(data, dict):
        return {str(k): rounded(v) for k, v in data.items()}
    if isinstance(data, list | tuple):
        return [rounded(v) for v in data]
    if data is None or isinstance(data, bool | int | str):
        return data
    number = round(float(data), DIGITS) + 0.0
    return int(number) if number == int(number) else number


def pretty(data: Any, indent: str = "") -> str:
    """JSON in which everything that fits stands on one line.

    >>> print(pretty({"size": [12, 9], "roles": {"focus": 1}}))
    {"size": [12, 9], "roles": {"focus": 1}}
    """
    flat = json.dumps(data, ensure_ascii=False)
    if len(indent) + len(flat) <= WIDE or not isinstance(data, dict | list) or not data:
        return flat
    deeper = indent + "  "
    if isinstance(data, dict):
        rows = [
            f"{json.dumps(k, ensure_ascii=False)}: {pretty(v, deeper)}" for k, v in data.items()
        ]
        return "{\n" + ",\n".join(deeper + r for r in rows) + "\n" + indent + "}"
    rows = [pretty(v, deeper) for v in data]
    return "[\n" + ",\n".join(deeper + r for r in rows) + "\n" + indent + "]"


class GoldenJSON(JSONSnapshotExtension):
    """One file per snapshot; keys keep their order, which is part of the behaviour."""

    def serialize(self, data: Any, **_: Any) -> str:
        """See :func:`pretty`."""
        return pretty(rounded(data)) + "\n"
