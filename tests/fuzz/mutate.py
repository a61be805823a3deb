"""Damage to valid inputs: to the tree of a TOML or JSON file, to its text, to its bytes."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable
from random import Random
from typing import Any

__all__ = [
    "damaged_bytes",
    "damaged_file",
    "damaged_text",
    "json_of",
    "number_word",
    "toml_of",
    "typed",
]

_PARTS = [
    "1",
    "2",
    "12",
    "40",
    "0",
    "00",
    "1/2",
    "/",
    "/",
    "-",
    "-",
    " ",
    ".",
    ".5",
    "½",
    "⅞",
    "in",
    "yd",
    '"',
    "cm",
    "mm",
    "m",
    "'",
    "x",
    "X",
    "×",
    ",",
    "+",
    "*",
    "=",
    "e400",
    "1e5",
    "nan",
    "inf",
    "-1",
    "\0",
    "٣",
    "²",
    "９",
    "\n",
    "\t",
    "_",
    "%",
    "9" * 30,
    "9" * 400,
    "9" * 5000,
    "(" * 50,
    "(" * 250,
    "focus",
    "#",
    "|",
    "\ud800",
    "\u2028",
    "a" * 300,
]
_SCALARS: list[Any] = [
    0,
    -1,
    1,
    2,
    3,
    7,
    0.5,
    -0.0,
    1e-9,
    1e-300,
    5e-324,
    1e9,
    1e308,
    -1e308,
    1e400,
    float("nan"),
    2**31,
    2**63,
    2**64,
    10**30,
    10**400,
    10**5000,
    True,
    False,
    None,
    "",
    " ",
    "\0",
    "a\0b",
    "\ud800",
    "x" * 2000,
    "nan",
    "1/0",
    "1.5/2",
    "-1/2",
    "sqrt(-1)",
    "1e400",
    "pi*pi",
    "arc 1",
    "arc 0",
    "../../etc",
    "/dev/zero",
    "D L / L D",
    "A B",
    "#fff",
    "focus",
    "accent",
    [],
    {},
    [[]],
    [{}],
    [0],
    [1, 2],
    ["a", 1],
    [[0, 0], [1, 0], [1, 1]],
    [0.0] * 300,
    {"": ""},
    {"a": {"b": {}}},
]
_SPOTS = [
    "[" * 60,
    "[" * 3000,
    "{" * 200,
    "]",
    "}",
    "\\u0000",
    "\\ud800",
    "\ufeff",
    "\0",
    "\r",
    "nan",
    "inf",
    "-inf",
    "NaN",
    "Infinity",
    "1e999",
    "0x" + "f" * 40,
    "9" * 25,
    "9" * 5000,
    "1979-05-27T07:32:00Z",
    "07:32:00",
    "a." * 40,
    '"""',
    "'''",
    "#",
    "\n[fabric]\n",
    "\n[[patch]]\n",
    " = ",
    ",",
    '"',
]
_NUMBERS = re.compile(r"-?\b\d+(?:\.\d+)?(?:[eE][+-]?\d+)?\b")


def typed(r: Random, example: str) -> str:
    """A short text as somebody might type it, or nobody would."""
    if r.random() < 0.25:
        return "".join(r.choice(_PARTS) for _ in range(r.randint(0, 7)))
    text = example
    for _ in range(r.choice((1, 1, 2, 3))):
        a = r.randint(0, len(text))
        b = min(len(text), a + r.choice((0, 0, 1, 1, 2, 5)))
        text = text[:a] + r.choice((*_PARTS, "")) + text[b:]
    return text


def number_word(r: Random) -> str:
    """A number as a file may hold it."""
    words = [
        "0",
        "-1",
        "1e308",
        "1e-308",
        "0.001",
        "1e6",
        "999",
        "1000",
        "2147483648",
        "9" * 20,
        "nan",
        "inf",
        "-0.0",
        "1e400",
        "0.0001",
    ]
    return r.choice(words) if r.random() < 0.6 else f"{r.uniform(-10, 50):.3f}"


def damaged_text(r: Random, text: str, others: list[str]) -> str:
    """A few changes to a text: numbers, slices, signs that open or close something."""
    for _ in range(r.choice((1, 1, 1, 2, 3))):
        text = r.choice(_CHANGES)(r, text, others)
    return text


def _numbers(r: Random, text: str, others: list[str]) -> str:
    found = list(_NUMBERS.finditer(text))
    if not found:
        return text
    spot = r.choice(found)
    return text[: spot.start()] + number_word(r) + text[spot.end() :]


def _insert(r: Random, text: str, others: list[str]) -> str:
    at = r.randint(0, len(text))
    return text[:at] + r.choice(_SPOTS) + text[at:]


def _cut(r: Random, text: str, others: list[str]) -> str:
    a, b = sorted((r.randint(0, len(text)), r.randint(0, len(text))))
    return text[:a] + text[b:] if r.random() < 0.7 else text[:a]


def _again(r: Random, text: str, others: list[str]) -> str:
    a = r.randint(0, len(text))
    b = min(len(text), a + r.randint(1, 80))
    return text[:b] + text[a:b] * r.choice((1, 1, 3, 40)) + text[b:]


def _splice(r: Random, text: str, others: list[str]) -> str:
    other = r.choice(others)
    return text[: r.randint(0, len(text))] + other[r.randint(0, len(other)) :]


def _lines(r: Random, text: str, others: list[str]) -> str:
    lines = text.split("\n")
    r.shuffle(lines)
    return "\n".join(lines)


_CHANGES: list[Callable[[Random, str, list[str]], str]] = [
    _numbers,
    _numbers,
    _numbers,
    _insert,
    _cut,
    _again,
    _splice,
    _lines,
]


def damaged_bytes(r: Random, data: bytes, least: int = 0) -> bytes:
    """Bits turned, bytes put in, taken out, or cut off, from ``least`` on."""
    out = bytearray(data)
    for _ in range(r.choice((1, 1, 2, 4, 16))):
        at = r.randint(min(least, len(out)), len(out))
        kind = r.randint(0, 5)
        if kind == 0 and at < len(out):
            out[at] ^= 1 << r.randint(0, 7)
        elif kind == 1:
            out[at:at] = r.randbytes(r.choice((1, 2, 4, 40)))
        elif kind == 2:
            del out[at : at + r.choice((1, 2, 4, 40, 400))]
        elif kind == 3 and r.random() < 0.3:
            del out[at:]
        elif kind == 4:
            out[at : at + 4] = r.choice((b"\0\0\0\0", b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff"))
        elif at < len(out):
            out[at] = r.choice((0, 255, 127, 128, r.randint(0, 255)))
    return bytes(out)


def damaged_file(
    r: Random, data: Any, text: str, others: list[str], write: Callable[[Any], str]
) -> bytes:
    """A damaged file of ``data``, of which ``text`` is the valid form."""
    way = r.random()
    if way < 0.55:
        return write(_tree(r, data)).encode("utf-8", "surrogatepass")
    if way < 0.85:
        return damaged_text(r, text, others).encode("utf-8", "surrogatepass")
    if way < 0.999:
        return damaged_bytes(r, text.encode())
    return (text + "\n" + "#" * 1_000_001).encode()


def _tree(r: Random, data: Any) -> Any:
    whole = copy.deepcopy(data)
    for _ in range(r.choice((1, 1, 1, 2, 4))):
        spots = _spots(whole)
        if not spots:
            break
        _change(r, *r.choice(spots), spots)
    return whole


def _spots(data: Any) -> list[tuple[Any, Any]]:
    """Every (container, key) of a tree, breadth first, up to some thousand."""
    found: list[tuple[Any, Any]] = []
    level = [data]
    while level and len(found) < 5000:
        pairs = [(d, k) for d in level for k in (d if isinstance(d, dict) else range(len(d)))]
        found += pairs
        level = [d[k] for d, k in pairs if isinstance(d[k], dict | list)]
    return found


def _change(r: Random, box: Any, key: Any, spots: list[tuple[Any, Any]]) -> None:
    value = box[key]
    way = r.randint(0, 14)
    if way <= 3:
        box[key] = copy.deepcopy(r.choice(_SCALARS))
    elif way == 4:
        del box[key]
    elif way > 9 and isinstance(value, int) and not isinstance(value, bool):
        box[key] = value + r.choice((-1, 1, 2, 5, -value - 1, 100))
    elif way > 9 and isinstance(value, float):
        box[key] = value * r.choice((0.5, 2.0, 1.01, 0.999999, -1.0, 10.0))
    elif way == 5 and isinstance(value, int | float) and abs(value) < 1e300:
        box[key] = r.choice((-value, value * 1e6, value / 1e6, value + 1, str(value), value * 1.01))
    elif way == 5 and isinstance(value, str):
        box[key] = typed(r, value)
    elif way == 6 and isinstance(value, list) and value:
        value[:] = (value * r.choice((2, 3, 60)))[:3000]
    elif way == 7:
        other, k = r.choice(spots)
        if k in other if isinstance(other, dict) else k < len(other):
            box[key] = copy.deepcopy(other[k])
    elif way == 8 and isinstance(box, dict):
        box[r.choice((typed(r, str(key)), "name", "role", "x"))] = box.pop(key)
    else:
        for _ in range(r.choice((1, 2, 49, 60))):
            box[key] = [box[key]] if r.random() < 0.7 else {"a": box[key]}


def json_of(data: Any) -> str:
    """JSON, also where there is no such JSON."""
    try:
        return json.dumps(data)
    except ValueError:  # whole numbers beyond what Python writes
        return json.dumps(_writable(data))


def _writable(data: Any) -> Any:
    if isinstance(data, dict):
        return {k: _writable(v) for k, v in data.items()}
    if isinstance(data, list):
        return [_writable(v) for v in data]
    return 10**4000 if isinstance(data, int) and data > 10**4000 else data


def toml_of(data: Any) -> str:
    """TOML with inline tables, also where there is no such TOML."""
    rows = data.items() if isinstance(data, dict) else [("a", data)]
    return "\n".join(f"{_text(k)} = {_toml(v)}" for k, v in rows) + "\n"


def _text(value: object) -> str:
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007F")


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_text(k)} = {_toml(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    if isinstance(value, int) and abs(value) > 10**4000:
        return "0x" + "f" * 5000
    if isinstance(value, int | float):
        return repr(value)
    return '""' if value is None else _text(value)
