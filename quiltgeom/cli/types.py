"""Options and their types: typed text to lengths, sizes and fabrics."""

import math
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import click

from quiltgeom.errors import QuiltError, QuiltValueError, shown
from quiltgeom.library.corrections import declared_fabric as declared_fabric
from quiltgeom.library.design_file import parse_size as parse_size
from quiltgeom.model.fabric import Fabric, Repeat, check_up
from quiltgeom.units import parse_length

FILE = click.Path(dir_okay=False, path_type=Path)
FOLDER = click.Path(file_okay=False, path_type=Path)
PLACE = click.Path(path_type=Path)
"""A file or a folder, there or not."""

if TYPE_CHECKING:
    _ParamType = click.ParamType[Any]
else:  # older releases of click cannot be subscripted
    _ParamType = click.ParamType


def opt(names: str, help: str, kind: Any = None, **more: Any) -> Callable[[Any], Any]:
    """An option, such as ``opt("-o --output FILE", "The picture.", FILE)``.

    Args:
        names: all its names, and the word for its value where it is not that of its kind.
        help: what it is for.
        kind: a type, or words to choose from; left out it is a text, or without a word a flag.
        more: as of click.
    """
    words = names.split()
    named = [w for w in words if w.startswith("-") or (w.isidentifier() and w.islower())]
    value = next((w for w in words if w not in named), more.pop("metavar", None))
    kind = click.Choice(kind) if isinstance(kind, list | tuple) else kind
    more |= {"is_flag": True} if kind is None and value is None else {"type": kind}
    return click.option(*named, metavar=value, help=help, **more)


class Parsed(_ParamType):
    """A parameter that a library function parses; its error becomes a usage error (exit 2)."""

    def __init__(self, name: str, parse: Callable[[str], object]) -> None:
        self.name, self.parse = name, parse

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Parse the typed text."""
        if not isinstance(value, str):
            return value
        try:
            return self.parse(value)
        except QuiltError as e:
            self.fail(str(e), param, ctx)


class Number(click.FloatRange):
    """A number in a range; unlike click's own, never not-a-number."""

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Parse and check the typed text."""
        number = super().convert(value, param, ctx)
        if math.isnan(number):
            self.fail(f"{value!r} is not a number.", param, ctx)
        return float(number)


def _degrees(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    check_up(value)
    return value


DEGREES = Parsed("degrees", _degrees)
LENGTH = Parsed("length", parse_length)
LENGTHS = Parsed("lengths", lambda t: tuple(parse_length(p.strip()) for p in t.split(",")))
SIZE = Parsed("WxH", parse_size)


def parse_fabric(text: str) -> tuple[str, Fabric]:
    """``ROLE=PICTURE or #colour[,key=value ...]`` to a role and its fabric.

    Keys: width, direction, up, repeat (WxH), repeat_kind, motif (WxH), name. A picture without a
    direction is kept upright, unless its owner's saved word says otherwise.

    >>> role, fabric = parse_fabric("accent=#204a5e")
    >>> role, fabric.colour
    ('accent', '#204a5e')
    """
    if "\0" in text:
        raise QuiltValueError("fabric: found a null character; accepted: ROLE=PICTURE or #colour")
    role, _, rest = text.partition("=")
    source, *pairs = rest.split(",")
    if not role.strip() or not source.strip():
        raise QuiltValueError(
            f"fabric: found {shown(text)}; accepted: ROLE=PICTURE or ROLE=#colour, then key=value, "
            "e.g. focus=photo.jpg,width=12in,direction=one-way"
        )
    keys = dict(p.partition("=")[::2] for p in pairs)
    unknown = set(keys) - {"width", "direction", "up", "repeat", "repeat_kind", "motif", "name"}
    if unknown:
        raise QuiltValueError(
            f"fabric {role}: known keys only: found {shown(sorted(unknown)[0])}; accepted: width, "
            "direction, up, repeat, repeat_kind, motif, name"
        )
    return role.strip(), _fabric(source.strip(), keys)


def _fabric(source: str, keys: dict[str, str]) -> Fabric:
    colour = source if source.startswith("#") else None
    sizes = parse_size(keys["repeat"], "repeat") if "repeat" in keys else None
    return declared_fabric(
        name=keys.get("name") or (colour or Path(source).stem),
        image=None if colour else Path(source),
        colour=colour,
        width=parse_length(keys["width"], what="width") if "width" in keys else None,
        direction=keys.get("direction"),
        up_deg=_degrees(keys["up"]) if "up" in keys else None,
        repeat=Repeat(*sizes, cast(Any, keys.get("repeat_kind", "straight"))) if sizes else None,
        motif=parse_size(keys["motif"], "motif") if "motif" in keys else None,
    )


def fabric_option(help: str) -> Callable[[Any], Any]:
    """The option ``--fabric``."""
    kind = Parsed("fabric", parse_fabric)
    name = "ROLE=PICTURE|#COLOUR[,key=value...]"
    return opt("--fabric fabrics", help, kind, metavar=name, multiple=True)


def pictures(help: str, word: str = "PICTURE", **more: Any) -> Callable[[Any], Any]:
    """The option ``-o`` of pictures to write."""
    return opt(f"-o --output outputs {word}", help, FILE, multiple=True, **more)
