"""Small cases against every accepted list and every layout: no false "cannot", no false "fits".

The suite judges a sample; ``QUILTGEOM_EVERY_PLAN=1`` all 150.
"""

from __future__ import annotations

import itertools
import math
import random
from collections import Counter
from dataclasses import dataclass
from functools import cache

import pytest

from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.errors import QuiltError
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Direction, Fabric
from quiltgeom.model.quilt import Quilt
from tests.cutting.checker import faults
from tests.cutting.exhaustive import List, can_cut, can_pack, is_upright, lists
from tests.cutting.test_every_plan import EVERY, STAGES, judge_print
from tests.cutting.test_plan import check

DIRECTIONS: tuple[Direction, ...] = ("one-way", "non-directional")
BASES = range(50)
AROUND = (-1, 0, 4)  # eighths about the least length that is enough
MOST_PIECES, MOST_PARTS, LONGEST = 20, 300, 400


@dataclass(frozen=True)
class Case:
    """One role at hand: a small quilt and cloth of this width, eighths."""

    quilt: Quilt
    role: str
    way: Direction
    width: int
    bound: bool

    def lists(self, length: int) -> list[List]:
        """Accepted lists for cloth so long, the smallest area first."""
        some = lists(
            self.quilt,
            self.role,
            turn=self.way == "non-directional",
            width=self.width / 8,
            length=length / 8,
            bound=self.bound,
        )
        return sorted(some, key=lambda rows: (sum(w * h * n for (w, h, _), n in rows), rows))

    def enough(self, length: int) -> bool:
        """Whether an accepted list can be cut from cloth so long."""
        return any(can_cut(some, self.width, length) for some in self.lists(length))

    def least(self) -> int:
        """A length that is enough while an eighth less is not."""
        low = high = 16
        while not self.enough(high):
            low, high = high, high + high // 4
            if high > LONGEST or any(
                math.prod(n + 1 for _, n in some) > MOST_PARTS for some in self.lists(high)
            ):
                return 0
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if self.enough(middle) else (middle, high)
        return high


@cache
def case(seed: int) -> tuple[Case, int]:
    """A quilt of a few blocks, a role of some rectangles, cloth for it; and the least length that
    the oracle finds enough, eighths."""
    r = random.Random(seed)
    patterns = list(load_patterns())
    while True:
        pattern = r.choice(patterns)
        size = r.choice([3.0, 4.0, 4.5, 6.0, 7.5, 9.0, 12.0])
        widths = [r.choice([1.0, 1.5, 2.0, 2.5, 3.0, 4.0]) for _ in pattern.borders]
        try:
            quilt = lay_out(
                pattern,
                rows=r.choice([1, 1, 2, 3]),
                columns=r.choice([1, 1, 2]),
                block_size=size,
                borders=widths if r.random() < 0.7 else None,
            )
        except QuiltError:  # the pattern has no such version
            continue
        roles = [k for k, n in quilt.count_by_role.items() if 1 < n <= 12 and _plain(quilt, k)]
        if not roles:
            continue
        way, bound = r.choice(DIRECTIONS), r.random() < 0.5
        made = Case(quilt, r.choice(roles), way, 4 * r.randint(18, 84), bound)
        counts = [sum(n for _, n in some) for some in made.lists(200)]
        if len(counts) > 2 and min(counts) > 4 and max(counts) <= MOST_PIECES:
            least = made.least()
            if least:
                return made, least


def _plain(quilt: Quilt, role: str) -> bool:
    """Only upright rectangles, none that the pattern cuts from strip sets or mitres."""
    mine = [p for p in quilt if p.role == role]
    return all(is_upright(p) and p.block != "mitred-border" for p in mine) and (
        quilt.roles[role].cut != "strip" or all(p.is_strip for p in mine)
    )


def verdict(made: Case, length: int) -> str:
    """What the program says, its plan judged."""
    cloth = {made.role: Fabric(made.role, colour="#88aacc", direction=made.way)}
    plan = cut_plan(
        made.quilt,
        cloth,
        have={made.role: (length / 8, made.width / 8)},
        effort=4,
        binding_role=made.role if made.bound else "",
        terms=Terms(straighten=0),
    )
    found = next(f for f in plan.fabrics if f.role == made.role)
    if found.status == "fits":
        check(plan)
        judge_print(plan)
        boxes = [(p.x, p.y, p.width, p.height) for p in found.placed]
        wanted = Counter(
            (i.width / 8, i.height / 8) for i in found.demand.items for _ in range(i.count)
        )
        assert (
            faults(
                boxes,
                wanted,
                made.width / 8,
                length / 8,
                stages=STAGES,
                may_turn=made.way == "non-directional",
            )
            == []
        )
    return found.status


CASES = list(itertools.product(BASES, AROUND))


@pytest.mark.parametrize(("seed", "more"), CASES if EVERY else CASES[::10])
def test_the_program_agrees_with_every_list_and_layout(seed: int, more: int) -> None:
    made, least = case(seed)
    length = least + more
    said = verdict(made, length)
    if said == "fits":
        assert made.enough(length)
    if said == "impossible":
        for some in made.lists(length):
            assert not can_cut(some, made.width, length), some
            assert can_pack(some, made.width, length) is False, some


def test_the_oracle_tells_a_pinwheel_from_what_edge_to_edge_cuts_give() -> None:
    """Four pieces 2 x 1 round one of 1 x 1 fill 3 x 3, but no cut goes right across."""
    wheel = (((1, 1, False), 1), ((1, 2, False), 2), ((2, 1, False), 2))
    assert can_pack(wheel, 3, 3)
    assert not can_cut(wheel, 3, 3)
    assert can_cut(wheel, 3, 4)
    assert can_cut((((2, 1, True), 3),), 3, 2)  # one stands beside two
    assert not can_pack((((2, 1, False), 3),), 3, 2)
