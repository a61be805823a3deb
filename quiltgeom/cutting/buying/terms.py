"""How a shop sells cloth, and how much of a piece of cloth can be used."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from quiltgeom.checks import guard, number, spelled
from quiltgeom.cutting.buying.cloth_sizes import ClothSize
from quiltgeom.errors import QuiltKeyError, QuiltValueError
from quiltgeom.model.quilt import Quilt
from quiltgeom.tolerance import RULER_SLACK
from quiltgeom.units import INCH_IN_CM, INCHES, Ruler, ceil_to, format_inches, parse_length

_SQUARE = 10.0
"""Pieces of cloth up to this length need no straightening, inches: precut squares and strips, and
what is no longer than those, are squared as they are."""


Widths = float | Mapping[str, float] | None
"""Usable width of the cloth to buy, inches: one for all roles, or by role; ``"*"`` stands for every
role that is left out. None: the usual one."""


@spelled
@dataclass(frozen=True, slots=True)
class Terms:
    """Steps and allowances for buying.

    Attributes:
        step: shops cut in whole steps of this, inches: an eighth of a yard, or 10 cm.
        straighten: inches lost for squaring up the end of the cloth, once.
        shrink: how much more cloth that is washed first must measure, both ways, as a share; makers
            measured 2 to 8 %, batting makers quote 3 to 5 %.
        ruler: by which the cloth is cut, and in which lengths are written.

    >>> Terms().buy(36.0), Terms(straighten=0).buy(36.0), Terms(shrink=0.05).buy(36.0)
    (40.5, 36.0, 40.5)
    """

    step: float = 4.5
    straighten: float = 1.0
    shrink: float = 0.0
    ruler: Ruler = INCHES

    def __post_init__(self) -> None:
        steps, straight, shrink = number(0.125, 72), number(0, 18), number(0, 0.3)
        guard(self, step=steps, straighten=straight, shrink=shrink)

    @classmethod
    def usual(cls, ruler: Ruler) -> Terms:
        """The usual ones; in centimetres steps of 10 cm, and 2.5 cm for straightening.

        >>> from quiltgeom.units import CENTIMETRES
        >>> Terms.usual(CENTIMETRES).said(41)
        '1.041 m'
        """
        steps = (10 / INCH_IN_CM, 2.5 / INCH_IN_CM) if ruler.metric else (4.5, 1.0)
        return cls(*steps, ruler=ruler)

    @property
    def metric(self) -> bool:
        """Whether cloth is sold in metres: the step is one of whole centimetres."""
        return self.ruler.metric or abs(self.step * 2.54 - round(self.step * 2.54)) < RULER_SLACK

    def buy(self, length: float) -> float:
        """Length to buy for a cutting need, inches."""
        need = length * (1 + self.shrink) + self.straighten
        return ceil_to(need, self.step)

    def usable(self, bought: float) -> float:
        """The longest cutting need that a length bought is enough for, inches.

        >>> Terms().usable(36.0), Terms(shrink=0.25).usable(36.0)
        (35.0, 28.0)
        """
        return (bought - self.straighten) / (1 + self.shrink)

    def across(self, width: float) -> float:
        """Usable width of cloth so wide, inches: washing shrinks it this way, too (down to a step).

        >>> Terms().across(40.0), Terms(shrink=0.05).across(40.0)
        (40.0, 38.0)
        """
        return self.ruler.floor(width / (1 + self.shrink)) if self.shrink else width

    def cloth(self, cloth: ClothSize) -> ClothSize:
        """What can be used of a piece of cloth: it is straightened once, at its length, unless it
        is no longer than a precut square of 10 in, and shrinks both ways; then down to the ruler.

        Raises:
            QuiltValueError: less than 1/8 in is left of it.

        >>> Terms().cloth(ClothSize(36, 40)), Terms(shrink=0.25).cloth(ClothSize(10, 10))
        (ClothSize(length=35.0, width=40.0), ClothSize(length=8.0, width=8.0))
        """
        lost = self.lost(cloth)
        length = (cloth.length - lost) / (1 + self.shrink)
        if lost or self.shrink:
            length = self.ruler.floor(length)
        width = self.across(cloth.width)
        if not min(length, width) >= 0.125:
            taken = f", {max(length, 0):g} in of it after straightening" if lost else ""
            raise QuiltValueError(
                f"cloth at hand: found {cloth.length:g} x {cloth.width:g} in{taken}; accepted: at "
                "least 1/8 in"
            )
        return ClothSize(length, width)

    def lost(self, cloth: ClothSize) -> float:
        """What squaring up the end of a piece of cloth takes, inches."""
        return 0.0 if cloth.length <= _SQUARE + RULER_SLACK else self.straighten

    def cost(self, price: float, length: float) -> float:
        """What a length costs at a price per yard, or per metre where cloth is sold in centimetres.

        >>> Terms().cost(12.0, 40.5), round(Terms(step=10 / 2.54).cost(12.0, 110 / 2.54), 6)
        (13.5, 13.2)
        """
        return price * length * (0.0254 if self.metric else 1 / 36)

    def said(self, length: float) -> str:
        """A length as the shop says it.

        >>> Terms().said(40.5), Terms(step=10 / 2.54).said(110 / 2.54)
        ('40 1/2" (1 1/8 yd)', '1.1 m')
        """
        if self.metric:
            return f"{length * 0.0254:.4g} m"
        eighths = self.step == 4.5
        yards = format_inches(length / 36, unit=" yd") if eighths else f"{length / 36:.3g} yd"
        return f"{self.ruler.text(length)} ({yards})"

    @property
    def text(self) -> str:
        """What is added when buying, as a sentence."""
        parts = [f"{self.ruler.text(self.straighten)} for straightening"] * (self.straighten > 0)
        parts += [f"{self.shrink * 100:g} % for shrinkage"] * (self.shrink > 0)
        more = "" if self.shrink else " Cloth that is washed first wants 3 to 5 % more."
        added = " and ".join(parts) or "nothing for straightening"
        return f"Lengths to buy include {added}.{more}"

    def taken(self, given: ClothSize, left: ClothSize) -> str:
        """What was taken off a piece of cloth, in words that follow its size; "" for nothing.

        >>> Terms().taken(ClothSize(36, 40), ClothSize(35, 40))
        ', 35" after straightening'
        >>> Terms(shrink=0.25).taken(ClothSize(36, 40), ClothSize(28, 32))
        ', 28" x 32" after straightening and washing'
        """
        if left == given:
            return ""
        done = ["straightening"] * (self.lost(given) > 0) + ["washing"] * (self.shrink > 0)
        text = self.ruler.text
        size = text(left.length) + (f" x {text(left.width)}" if self.shrink else "")
        return f", {size} after {' and '.join(done)}" if done else ""


def parse_step(text: str) -> float:
    """A shop's step: ``1/8yd``, ``1/4 yd``, ``10cm`` or a length.

    >>> parse_step("1/8yd"), round(parse_step("10 cm"), 6)
    (4.5, 3.937008)
    """
    return parse_length(text, what="step")


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
