"""Parameter types: typed text to lengths, sizes and fabrics."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import click

from quiltgeom.errors import QuiltError, QuiltValueError
from quiltgeom.library.design_file import parse_size
from quiltgeom.model.fabric import DIRECTIONS, Fabric, Repeat
from quiltgeom.units import parse_length

__all__ = ["LENGTH", "LENGTHS", "SIZE", "Parsed", "parse_fabric"]

if TYPE_CHECKING:
    _ParamType = click.ParamType[Any]
else:  # older releases of click cannot be subscripted
    _ParamType = click.ParamType


class Parsed(_ParamType):
    """A parameter that a library function parses; its error becomes a usage error (exit 2)."""

    def __init__(self, name: str, parse: Callable[[str], object]) -> None:
        self.name, self.parse = name, parse

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> Any:
        """Parse the typed text."""
        if not isinstance(value, str):
            return value
        try:
            return self.parse(value)
        except QuiltError as e:
            self.fail(str(e), param, ctx)


LENGTH = Parsed("length", parse_length)
LENGTHS = Parsed("lengths", lambda t: tuple(parse_length(p.strip()) for p in t.split(",")))
SIZE = Parsed("WxH", parse_size)


def parse_fabric(text: str) -> tuple[str, Fabric]:
    """``ROLE=PICTURE or #colour[,key=value ...]`` to a role and its fabric.

    Keys: width, direction, up, repeat (WxH), repeat_kind, motif (WxH), name.

    >>> role, fabric = parse_fabric("accent=#204a5e")
    >>> role, fabric.colour
    ('accent', '#204a5e')
    """
    role, _, rest = text.partition("=")
    source, *pairs = rest.split(",")
    if not role.strip() or not source.strip():
        raise QuiltValueError(
            f"fabric: found {text!r}; accepted: ROLE=PICTURE or ROLE=#colour, then key=value, e.g. "
            "focus=photo.jpg,width=12in,direction=one-way"
        )
    keys = dict(p.partition("=")[::2] for p in pairs)
    unknown = set(keys) - {"width", "direction", "up", "repeat", "repeat_kind", "motif", "name"}
    if unknown:
        raise QuiltValueError(
            f"fabric {role}: known keys only: found {sorted(unknown)[0]!r}; accepted: width, "
            "direction, up, repeat, repeat_kind, motif, name"
        )
    return role.strip(), _fabric(source.strip(), keys)


def _fabric(source: str, keys: dict[str, str]) -> Fabric:
    colour = source if source.startswith("#") else None
    direction = keys.get("direction", "non-directional")
    if direction not in DIRECTIONS:
        raise QuiltValueError(
            f"direction: found {direction!r}; accepted: {', '.join(DIRECTIONS)}"
        )
    try:
        up = float(keys.get("up", "0"))
    except ValueError as e:
        raise QuiltValueError(f"up: found {keys['up']!r}; accepted: degrees, e.g. 90") from e
    kind = keys.get("repeat_kind", "straight")
    if kind not in ("straight", "half-drop", "brick"):
        raise QuiltValueError(f"repeat_kind: found {kind!r}; accepted: straight, half-drop, brick")
    sizes = parse_size(keys["repeat"], "repeat") if "repeat" in keys else None
    return Fabric(
        name=keys.get("name") or (colour or Path(source).stem),
        image=None if colour else Path(source),
        colour=colour,
        width=parse_length(keys["width"], what="width") if "width" in keys else None,
        direction=direction,
        up_deg=up,
        repeat=Repeat(*sizes, cast(Any, kind)) if sizes else None,
        motif=parse_size(keys["motif"], "motif") if "motif" in keys else None,
    )
