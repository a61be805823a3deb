"""What to cut from one fabric: rectangles in their places, with the bound and the verdict."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from quiltgeom.checks import brief
from quiltgeom.cutting.buying.cloth_sizes import Cloths, ClothSize
from quiltgeom.cutting.buying.offers import Offer
from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.cutting.letters import Letters, line_key
from quiltgeom.cutting.methods.unit import CutUnit
from quiltgeom.cutting.solver.bounds import Certificate
from quiltgeom.cutting.solver.items import Demand, Item
from quiltgeom.cutting.solver.solve import Solution
from quiltgeom.model.fabric import Direction, way_words
from quiltgeom.tolerance import EQUAL_SCORE, SAME_POINT
from quiltgeom.units import Ruler

Verdict = Literal["optimal", "within", "fits", "impossible", "unknown"]
_SPARE = 0.03
"""Cloth at hand of which less is left over has no room for a mistake (this project's choice)."""


@dataclass(frozen=True, slots=True)
class PlacedUnit:
    """A cut rectangle in its place: inches from the top left of the cloth, print upright.

    ``turned``: it lies a quarter turn clockwise round from the way its unit is described.
    ``cloth``: number of the piece of cloth, from 0.
    """

    number: int
    unit: CutUnit
    x: float
    y: float
    width: float
    height: float
    turned: bool
    cloth: int = 0

    def centre(self, member: int) -> tuple[float, float]:
        """Where the middle of a member patch's bounding box lies on the cloth."""
        m = self.unit.members[member]
        if not self.turned:
            return self.x + m.x, self.y + m.y
        return self.x + self.unit.high - m.y, self.y + m.x

    def lie(self, member: int) -> float:
        """How the cloth lies in the quilt for this patch, degrees clockwise."""
        m = self.unit.members[member]
        return (m.lie_deg - 90.0) % 360.0 if self.turned else m.lie_deg


@dataclass(frozen=True, repr=False)
class FabricPlan:
    """What to cut from one fabric.

    Attributes:
        role: the fabric's role in the quilt; ``name`` for people.
        direction: what turns the print allows.
        width: usable width of the cloth, inches.
        solution: the plan on the cloth with its bound.
        placed: every rectangle in its place, in cutting order.
        have: usable length of the cloth at hand (of several, together), or None when it will be
            bought.
        cloths: what can be used of the pieces of cloth at hand, ``(length, width)``; empty when it
            will be bought.
        terms: how the shop sells and what is added.
        motif_rise: where windows lie on motifs, the repeat along the cloth, inches: so much more is
            bought, as the print may begin anywhere.
        letters: of all that is cut for the quilt.
        declared: as of a fabric: whether anybody said what the print allows.
        ways: the accepted ways of cutting it: how long strips lie and are joined, how the binding.
        proved: that none of them does with the cloth at hand.
        manner: of cutting, easy or thrifty.
        rival: the plan of the other manner, where that takes less cloth or fewer cuts.
        given: the pieces of cloth at hand as they are, before straightening and washing.
        sold: width of cloth to buy as it is sold, inches; None: the usable width.
        offers: what bolts of several widths would cost, the one that is taken first.
    """

    role: str
    name: str
    direction: Direction
    width: float
    solution: Solution
    placed: tuple[PlacedUnit, ...]
    have: float | None = None
    cloths: Cloths = ()
    terms: Terms = field(default_factory=Terms)
    motif_rise: float = 0.0
    letters: Letters = field(default_factory=Letters)
    declared: bool = True
    ways: tuple[tuple[str, str], ...] = ()
    proved: bool = False
    manner: Literal["easy", "thrifty"] = "thrifty"
    rival: FabricPlan | None = None
    given: Cloths = ()
    sold: float | None = None
    offers: tuple[Offer, ...] = ()

    def __repr__(self) -> str:
        size = f"{self.ruler.text(self.length)} of cloth {self.ruler.text(self.width)} wide"
        return brief(f"FabricPlan {self.role} ({self.name}), {size}, {len(self.placed)} cuts")

    @property
    def ruler(self) -> Ruler:
        """By which it is cut."""
        return self.terms.ruler

    @property
    def way(self) -> str:
        """The direction in words; says so where nobody declared it."""
        return way_words(self.direction, self.declared)

    @property
    def length(self) -> float:
        """Length of cloth that the pieces take up, inches."""
        return self.solution.length * self.ruler.step

    @property
    def bound(self) -> float:
        """No way of cutting makes do with buying less than this (or with less of the cloth at
        hand), inches."""
        least = self.solution.bound * self.ruler.step
        return self.terms.buy(least) if self.have is None else least

    @property
    def buy(self) -> float:
        """Length to buy, straightening and shrinkage included, in whole shop steps, inches."""
        return self.terms.buy(self.length + self.motif_rise)

    @property
    def at_hand(self) -> str:
        """Cloth at hand in words, and what is left of it, such as ``36" x 40", 35" after
        straightening`` or ``4 of 18" x 21", 17" after straightening``; ``""`` if none."""
        text = self.ruler.text
        given = self.given or self.cloths
        sizes = [f"{text(cloth.length)} x {text(cloth.width)}" for cloth in given]
        counts = Counter(zip(sizes, map(self.terms.taken, given, self.cloths), strict=True))
        rows = [(f"{n} of {size}" if n > 1 else size, less) for (size, less), n in counts.items()]
        return ("; " if any(less for _, less in rows) else ", ").join(a + b for a, b in rows)

    @property
    def across(self) -> str:
        """Width of cloth to buy in words, and what is left of it after washing."""
        if self.sold is None or not self.terms.shrink:
            return f"{self.ruler.text(self.width)} wide"
        text = self.ruler.text
        return f"{text(self.sold)} wide, {text(self.width)} after washing"

    @property
    def several(self) -> bool:
        """Whether there is more than one piece of cloth at hand."""
        return len(self.cloths) > 1

    @property
    def spread(self) -> bool:
        """Whether the plan lies on several pieces of cloth; if they are not enough, it lies on one
        length of the widest of them, to show what would be."""
        return self.several and self.status == "fits"

    @property
    def straightening(self) -> float:
        """How much of the cloth's end is included for squaring it up, inches."""
        if self.have is None or self.short:
            return self.terms.straighten
        return max(self.terms.lost(c) for c in self.given or self.cloths)

    @property
    def drawn(self) -> Cloths:
        """The pieces of cloth that the plan lies on, without the end that is squared up; where
        cloth at hand is not enough, one that would do."""
        if self.spread:
            return self.cloths
        long = self.length if self.short else self.have or self.terms.usable(self.buy)
        return (ClothSize(max(long, self.length), self.width),)

    @property
    def short(self) -> bool:
        """Whether the plan needs more than the cloth at hand."""
        return self.have is not None and self.status != "fits"

    @property
    def spare_share(self) -> float | None:
        """Share of the cloth at hand that no piece takes; None where it is bought, or not known
        to be enough."""
        if self.have is None or self.short:
            return None
        cloth = sum(n * w for n, w in self.drawn)
        return 1 - sum(p.width * p.height for p in self.placed) / cloth

    @property
    def spare_note(self) -> str:
        """A warning where next to nothing of the cloth at hand is left over; else ``""``."""
        little = self.spare_share is not None and self.spare_share < _SPARE
        return "leaves under 3 %: cut carefully, there is no room for a mistake" if little else ""

    @property
    def status(self) -> Verdict:
        """``optimal`` or ``within`` a gap; for cloth at hand: fits, impossible or unknown."""
        if self.have is None:
            return self.solution.status
        if self.proved:
            return "impossible"
        if self.several:
            return "fits" if any(p.cloth for p in self.placed) or self._on_first else "unknown"
        return "fits" if self.solution.bought <= self.ruler.down(self.have) else "unknown"

    @cached_property
    def why(self) -> str:
        """The verdict as a sentence."""
        if self.status not in ("within", "unknown"):
            return self._why
        if self.solution.too_large:
            return self._why + "; these sizes are too large or too many for a better search"
        return self._why + "; the search was stopped before its end" * self.solution.cut_short

    @property
    def _why(self) -> str:
        if self.status == "fits" and self.several:
            used = len({p.cloth for p in self.placed})
            return f"fits: takes {used} of {len(self.cloths)} pieces of cloth"
        if self.status == "fits":
            takes, have = (self.ruler.text(v or 0, unit=False) for v in (self.length, self.have))
            return f"fits: takes {takes} of {have} {self.ruler.units}"
        if self.status == "impossible":
            proof = self.proof
            reason = "a piece is longer than the cloth"
            if proof:
                reason = proof.sentence(self.demand)
            elif self.motif_rise:
                reason = "its patches cannot all lie on motifs of their own there"
            every = f" in any of {len(self.ways)} ways" if len(self.ways) > 1 else ""
            return f"cannot be cut from this cloth{every}, because {reason}"
        if self.status == "unknown":
            takes = self.ruler.text(self.length)
            return f"no plan found (best takes {takes}), and no proof that there is none"
        if self.status == "optimal":
            return "no way of cutting needs less"
        gap = math.ceil(100 * (self.buy / self.bound - 1) - EQUAL_SCORE)
        return f"at most {gap} % more than the least possible"

    @property
    def price(self) -> str:
        """What the manner of cutting costs, as a sentence; "" where there is nothing to choose."""
        other = self.rival
        if other is None or self.have is not None:
            return ""
        more = self.terms.said(abs(self.buy - other.buy))
        cuts = f"{other.solution.cuts} cuts in place of {self.solution.cuts}"
        if self.manner == "easy":
            return f"Easy to cut: the thriftiest plan found takes {more} less, in {cuts}."
        return f"Thrifty: a plan that is easier to cut takes {more} more, in {cuts}."

    @property
    def proof(self) -> Certificate | None:
        """Why cloth at hand is not enough for the way that is shown; None if it may be."""
        return self.solution.certificate if self.proved else None

    @property
    def _on_first(self) -> bool:
        """Whether everything lies on the first of several pieces of cloth."""
        length, width = self.cloths[0]
        ends = [(p.x + p.width, p.y + p.height) for p in self.placed]
        return all(x <= width + SAME_POINT and y <= length + SAME_POINT for x, y in ends)

    @cached_property
    def labels(self) -> dict[int, str]:
        """By the number of a rectangle its letter; strips that share one are numbered, longest
        first."""
        kinds = {p.number: (self.letters.of(p.unit), line_key(p.unit)) for p in self.placed}
        sizes: dict[str, list[tuple[int, int, str, str]]] = {}
        for letter, key in sorted(set(kinds.values())):
            sizes.setdefault(letter, []).append(key)
        return {
            number: letter + (str(sizes[letter].index(key) + 1) if len(sizes[letter]) > 1 else "")
            for number, (letter, key) in kinds.items()
        }

    @cached_property
    def demand(self) -> Demand:
        """The rectangles as the solver saw them."""
        return demand_of([p.unit for p in self.placed], self.direction)


def unit_key(unit: CutUnit) -> tuple[int, int, bool]:
    """Equal for rectangles that the solver need not tell apart."""
    return unit.width, unit.height, unit.fixed


def demand_of(units: Sequence[CutUnit], direction: Direction) -> Demand:
    """Rectangles as the solver takes them: one item for every :func:`unit_key`, sorted."""
    may_turn = direction in ("four-way", "non-directional")
    counts = sorted(Counter(map(unit_key, units)).items())
    return Demand(tuple(Item(w, h, n, may_turn and not fixed) for (w, h, fixed), n in counts))
