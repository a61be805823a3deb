"""How a shop sells cloth, and what a buyer adds to the cutting need."""

from __future__ import annotations

import math
from dataclasses import dataclass

from quiltgeom.errors import QuiltValueError
from quiltgeom.units import format_inches, parse_length

__all__ = ["Terms", "parse_step"]


@dataclass(frozen=True, slots=True)
class Terms:
    """Steps and allowances for buying.

    Attributes:
        step: shops cut in whole steps of this, inches: an eighth of a yard, or 10 cm.
        straighten: inches added for squaring up the end of the cloth.
        shrink: share added for cloth that is washed first; makers measured 2 to 8 %, batting makers
            quote 3 to 5 %.

    >>> Terms().buy(36.0), Terms(straighten=0).buy(36.0), Terms(shrink=0.05).buy(36.0)
    (40.5, 36.0, 40.5)
    """

    step: float = 4.5
    straighten: float = 1.0
    shrink: float = 0.0

    def __post_init__(self) -> None:
        for what, value, low, top in (
            ("step", self.step, 0.125, 72.0), ("straightening", self.straighten, 0.0, 18.0),
            ("shrinkage", self.shrink, 0.0, 0.3),
        ):  # fmt: skip
            if not (math.isfinite(value) and low <= value <= top):
                raise QuiltValueError(f"{what}: found {value:g}; accepted: {low:g} to {top:g}")

    @property
    def metric(self) -> bool:
        """Whether the step is one of whole centimetres."""
        return abs(self.step * 2.54 - round(self.step * 2.54)) < 1e-6

    def buy(self, length: float) -> float:
        """Length to buy for a cutting need, inches."""
        need = length * (1 + self.shrink) + self.straighten
        return math.ceil(need / self.step - 1e-9) * self.step

    def usable(self, bought: float) -> float:
        """The longest cutting need that a length bought is enough for, inches.

        >>> Terms().usable(36.0), Terms(shrink=0.25).usable(36.0)
        (35.0, 28.0)
        """
        return (bought - self.straighten) / (1 + self.shrink)

    def said(self, length: float) -> str:
        """A length as the shop says it.

        >>> Terms().said(40.5), Terms(step=10 / 2.54).said(110 / 2.54)
        ('40 1/2" (1 1/8 yd)', '1.1 m')
        """
        if self.metric:
            return f"{length * 0.0254:.4g} m"
        yards = format_inches(length / 36, unit=" yd") if self.step == 4.5 else (
            f"{length / 36:.3g} yd"
        )  # fmt: skip
        return f"{format_inches(length)} ({yards})"

    @property
    def text(self) -> str:
        """What is added, as a sentence."""
        washed = f" and {self.shrink * 100:g} % for shrinkage" if self.shrink else ""
        more = "" if self.shrink else " Cloth that is washed first wants 3 to 5 % more."
        straight = format_inches(self.straighten)
        return f"Lengths to buy include {straight} for straightening{washed}.{more}"


def parse_step(text: str) -> float:
    """A shop's step: ``1/8yd``, ``1/4 yd``, ``10cm`` or a length.

    >>> parse_step("1/8yd"), round(parse_step("10 cm"), 6)
    (4.5, 3.937008)
    """
    return parse_length(text, what="step")
