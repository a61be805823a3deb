"""Bolts of several widths at their prices, and what each of them would cost."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.errors import QuiltValueError, shown
from quiltgeom.tolerance import EQUAL_SCORE
from quiltgeom.units import parse_length


@dataclass(frozen=True, slots=True, order=True)
class Bolt:
    """Cloth that a shop sells.

    Attributes:
        width: usable width, inches.
        price: of a yard, or of a metre where cloth is sold in centimetres; in any money.
    """

    width: float
    price: float

    def __post_init__(self) -> None:
        if not (0.5 <= self.width <= 200 and 0 <= self.price <= 1e6):
            raise QuiltValueError(
                f"bolt: found {self.width:g} in wide at {self.price:g}; accepted: 1/2 to 200 in, "
                "a price from 0 to 1,000,000"
            )


@dataclass(frozen=True, slots=True)
class Offer:
    """What a role takes of a bolt.

    Attributes:
        bolt: the cloth.
        length: to buy of it, inches; None where the pieces cannot be cut from it.
        cost: of that; infinite where they cannot be.
        why: why they cannot be.
    """

    bolt: Bolt
    length: float | None
    cost: float
    why: str = ""

    @property
    def key(self) -> tuple[float, float, float]:
        """Smallest for the cheapest; of equal ones for the least cloth, then for the narrowest."""
        return round(self.cost, 6), (self.length or 0.0) * self.bolt.width, self.bolt.width


def parse_bolt(text: str) -> tuple[str, Bolt]:
    """``[ROLE:]WIDTH=PRICE``; without a role, for every role that has no bolt of its own.

    Returns:
        The role (``"*"`` for all), and the bolt.

    >>> parse_bolt("42in=11.50"), parse_bolt("focus:110cm=12")[0]
    (('*', Bolt(width=42.0, price=11.5)), 'focus')
    """
    head, mark, price = text.rpartition("=")
    role, named, width = head.rpartition(":")
    try:
        value = float(price) if mark and (role.strip() or not named) else math.nan
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise QuiltValueError(
            f"bolt: found {shown(text)}; accepted: WIDTH=PRICE such as 42in=11.50, or "
            "ROLE:WIDTH=PRICE; the price of a yard, or of a metre where cloth is sold in "
            "centimetres"
        )
    return role.strip() or "*", Bolt(parse_length(width.strip(), what="bolt"), value)


def offers_text(offers: Sequence[Offer], terms: Terms) -> str:
    """What the bolt taken costs, and what the others would; ``""`` without offers.

    >>> yard = Offer(Bolt(42.0, 12.0), 40.5, 13.5)
    >>> offers_text([yard, Offer(Bolt(60.0, 15.0), 36.0, 15.0)], Terms())
    ' At 12.00 a yard it comes to 13.50; 60" wide at 15.00: 36" (1 yd), 15.00.'
    """
    if not offers:
        return ""
    mine, *others = offers
    per = "metre" if terms.metric else "yard"
    parts = [f"At {mine.bolt.price:.2f} a {per} it comes to {_money(mine.cost)}"]
    for o in others:
        price = f"{terms.ruler.text(o.bolt.width)} wide at {o.bolt.price:.2f}"
        amount = f"cannot be cut ({o.why})"
        if o.length is not None:
            amount = f"{terms.said(o.length)}, {_money(o.cost)}"
        parts.append(f"{price}: {amount}")
    return f" {'; '.join(parts)}."


def _money(cost: float) -> str:
    return f"{math.floor(cost * 100 + 0.5 + EQUAL_SCORE) / 100:.2f}"


def offers_data(offers: Sequence[Offer]) -> list[dict[str, Any]]:
    """The same as plain data, the one that is taken first: inches; the price as given."""
    costs = [None if o.length is None else round(o.cost, 6) for o in offers]
    return [
        {"width_in": o.bolt.width, "price": o.bolt.price, "buy_in": o.length}
        | {"cost": cost, "why": o.why, "taken": o is offers[0]}
        for o, cost in zip(offers, costs, strict=True)
    ]
