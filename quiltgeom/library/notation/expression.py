"""Numbers in data files: plain, fractions, or short expressions such as ``"3/(2+sqrt2)"``."""

import ast
import math
import operator
import re
from collections.abc import Callable, Mapping
from functools import lru_cache

from quiltgeom.errors import QuiltValueError, shown

_NAMES = {"sqrt2": math.sqrt(2), "sqrt3": math.sqrt(3), "pi": math.pi}
_FUNCTIONS: dict[str, Callable[[float], float]] = {
    "sqrt": math.sqrt,
    "sin": lambda d: math.sin(math.radians(d)),
    "cos": lambda d: math.cos(math.radians(d)),
    "tan": lambda d: math.tan(math.radians(d)),
}
_WRITTEN = re.compile(r"[\w.+*/() \t-]{1,200}")
_RUN_ON = re.compile(r"(?<![\w.])(?>[0-9.]+(?:[eE][+-]?[0-9]+)?)[^\W\d]")
"""A number that runs on into a word (``2in``, ``0x10``): Python's parser would print a warning."""
LARGEST = 1e6
"""Beyond any size of a block or quilt; keeps areas and lines far from overflow."""
SMALLEST = 0.001
"""Sizes that must be positive are at least this, in grid units or blocks."""
_OPERATORS: dict[type, Callable[..., float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.USub: operator.neg,
    ast.UAdd: operator.pos,
}


def evaluate(value: object, names: Mapping[str, float] | None = None) -> float:
    """Evaluate a number or an expression at full precision.

    Knows ``+ - * /``, brackets, ``sqrt2 sqrt3 pi``, ``sqrt( )``, and ``sin cos tan`` of degrees,
    and the file's own ``names``. Nothing else is executed.

    Raises:
        QuiltValueError: not a number, beyond a million either way, or something else than
            arithmetic.

    >>> evaluate("1 + 1/2"), evaluate(3), evaluate("2*d", {"d": 0.5})
    (1.5, 3.0, 1.0)
    """
    try:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise TypeError
        number = float(value) if not isinstance(value, str) else _walk(_parse(value), names or {})
    except (
        TypeError,
        LookupError,
        SyntaxError,
        ArithmeticError,
        ValueError,
        RecursionError,
        MemoryError,
    ) as e:
        raise _refused(value) from e
    if not abs(number) <= LARGEST:  # nor is not-a-number
        raise _refused(value)
    return number


@lru_cache(maxsize=4096)  # the same few expressions stand in many files and patches
def _parse(text: str) -> ast.AST:
    if not _WRITTEN.fullmatch(text) or _RUN_ON.search(text):
        raise ValueError("too long, or no arithmetic")
    return ast.parse(text.strip(), mode="eval").body


def _walk(node: ast.AST, names: Mapping[str, float]) -> float:
    match node:
        case ast.Constant(value=int() | float() as number) if not isinstance(number, bool):
            return float(number)
        case ast.Name(id=name):
            return names[name] if name in names else _NAMES[name]
        case ast.UnaryOp(op=op, operand=x):
            return _OPERATORS[type(op)](_walk(x, names))
        case ast.BinOp(left=a, op=op, right=b):
            return _OPERATORS[type(op)](_walk(a, names), _walk(b, names))
        case ast.Call(func=ast.Name(id=name), args=[x], keywords=[]):
            return _FUNCTIONS[name](_walk(x, names))
    raise TypeError


def _refused(value: object) -> QuiltValueError:
    return QuiltValueError(
        f"not a number: found {shown(value)}; accepted: a number, or + - * / ( ) with sqrt2, "
        'sqrt3, pi, sqrt(), sin(), cos(), tan() in degrees and names from [let], e.g. "3/(2+sqrt2)"'
    )
