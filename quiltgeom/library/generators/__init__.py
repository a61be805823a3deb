"""Families of blocks drawn by a rule: a file says ``[make.log-cabin]`` and gives the numbers.

Each module of this package is one generator, named as in the file; its ``draw`` reads the
parameters and returns the drawing.
"""

from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from quiltgeom.errors import QuiltError
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params


@cache
def generator_names() -> tuple[str, ...]:
    """Names of all generators, sorted.

    >>> "log-cabin" in generator_names()
    True
    """
    return tuple(sorted(m.name.replace("_", "-") for m in iter_modules(__path__)))


def generate(name: str, params: Params) -> Drawing | None:
    """Draw with the generator ``name``; None, and a finding, if there is none of that name."""
    if name not in generator_names():
        params.report("a known generator", repr(name), ", ".join(generator_names()))
        return None
    module = import_module(f"{__name__}.{name.replace('-', '_')}")
    drawing: Drawing | None = None
    try:
        drawing = module.draw(params)
    except QuiltError as e:
        params.report("parameters that go together", str(e), "such as leave every patch an area")
    params.unknown()
    return drawing
