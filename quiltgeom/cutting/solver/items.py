"""What the plan solver works on: rectangles and cloth in whole steps of a ruler."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from quiltgeom.errors import QuiltValueError


@dataclass(frozen=True, slots=True)
class Item:
    """Equal rectangles to cut, in steps of the ruler (eighths of an inch, or millimetres).

    Attributes:
        width: across the cloth, selvage to selvage.
        height: along the cloth.
        count: how many.
        may_turn: whether a quarter turn is allowed (a half turn never changes a rectangle).
    """

    width: int
    height: int
    count: int
    may_turn: bool = False

    def __post_init__(self) -> None:
        if min(self.width, self.height, self.count) < 1:
            raise QuiltValueError(
                f"cut piece: found {self.width} x {self.height} steps, {self.count} times; "
                "accepted: at least 1 each"
            )


@dataclass(frozen=True, slots=True)
class Spot:
    """Where one piece lies on the cloth, in steps from its top left corner.

    ``item`` is the index of its :class:`Item`; ``width`` is across the cloth as it lies; ``cloth``
    is the number of the piece of cloth.
    """

    item: int
    x: int
    y: int
    width: int
    height: int
    cloth: int = 0


@dataclass(frozen=True)
class Demand:
    """A list of items for one fabric.

    >>> Demand.of([(28, 28, 12), (16, 40, 3)]).area
    11328
    """

    items: tuple[Item, ...]

    @classmethod
    def of(cls, rows: Iterable[Sequence[int]], *, may_turn: bool = False) -> Demand:
        """From ``(width, height, count)`` rows in steps."""
        return cls(tuple(Item(w, h, n, may_turn) for w, h, n in rows))

    @cached_property
    def area(self) -> int:
        """Sum of the areas, square steps."""
        return sum(i.width * i.height * i.count for i in self.items)

    @property
    def counts(self) -> tuple[int, ...]:
        """Number wanted of each item."""
        return tuple(i.count for i in self.items)

    @property
    def pieces(self) -> int:
        """How many rectangles there are."""
        return sum(self.counts)

    def over(self, part: int) -> Demand:
        """All sizes divided by a number that divides them."""
        sizes = [(i, i.width // part, i.height // part) for i in self.items]
        return Demand(tuple(replace(i, width=w, height=h) for i, w, h in sizes))

    @cached_property
    def transposed(self) -> Demand:
        """The same list with the two directions of the cloth exchanged."""
        return Demand(tuple(Item(i.height, i.width, i.count, i.may_turn) for i in self.items))

    @cached_property
    def poses(self) -> tuple[tuple[int, int, int], ...]:
        """``(item, width, height)`` of every way in which an item may lie."""
        out = []
        for k, i in enumerate(self.items):
            out.append((k, i.width, i.height))
            if i.may_turn and i.width != i.height:
                out.append((k, i.height, i.width))
        return tuple(out)
