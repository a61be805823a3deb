"""Usable width of the cloth to buy: one for all roles, or role by role."""

from collections.abc import Mapping

from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.errors import QuiltKeyError
from quiltgeom.model.quilt import Quilt
from quiltgeom.units import INCHES, Ruler

WIDTH = INCHES.width
"""Usable width of the usual cloth, selvages off, inches."""

Widths = float | Mapping[str, float] | None
"""One width for all, or widths by role, inches; ``"*"`` stands for every role that is left out.
None: the usual one."""


def width_of(width: Widths, role: str, ruler: Ruler = INCHES) -> float:
    """The width for a role, inches.

    >>> width_of(42.0, "focus"), width_of({"focus": 54.0}, "focus"), width_of({"*": 42.0}, "accent")
    (42.0, 54.0, 42.0)
    """
    if isinstance(width, Mapping):
        return width.get(role, width.get("*", ruler.width))
    return ruler.width if width is None else width


def usable_widths(width: Widths, quilt: Quilt, terms: Terms) -> dict[str, float]:
    """What can be used of the width of each role's cloth after washing, inches.

    Raises:
        QuiltKeyError: a width for a role that the quilt does not have.
    """
    for role in width if isinstance(width, Mapping) else ():
        if role not in ("*", *quilt.roles):
            raise QuiltKeyError(f"width: found role {role!r}; accepted: {', '.join(quilt.roles)}")
    return {role: terms.across(width_of(width, role, terms.ruler)) for role in quilt.roles}
