"""Plans judged by the independent checker; bounds judged by exhaustive search and known optima."""

from __future__ import annotations

import itertools
import random
from collections import Counter
from dataclasses import replace

import pytest

from quiltgeom.cutting.solver.bounds import prove_impossible, width_bound
from quiltgeom.cutting.solver.items import Demand, Item
from quiltgeom.cutting.solver.reduction import reduced
from quiltgeom.cutting.solver.scales import capacity
from quiltgeom.cutting.solver.solve import Solution, shortest
from quiltgeom.cutting.solver.strips import first_fit, formula_rows, tidy
from quiltgeom.errors import QuiltValueError
from tests.cutting.checker import faults


def judge(demand: Demand, plan: Solution) -> list[str]:
    wanted: Counter[tuple[float, float]] = Counter()
    for i in demand.items:
        wanted[i.width, i.height] += i.count
    boxes = [(s.x, s.y, s.width, s.height) for s in plan.spots]
    may_turn = all(i.may_turn for i in demand.items)
    return faults(boxes, wanted, plan.width, plan.length, may_turn=may_turn)


def random_demand(seed: int) -> Demand:
    r = random.Random(seed)
    turn = r.random() < 0.6
    sizes = [12, 16, 20, 23, 28, 31, 36, 39, 52, 68, 78, 100]
    rows: Counter[tuple[int, int]] = Counter()
    for _ in range(r.randint(2, 7)):
        w = r.choice(sizes)
        h = w if r.random() < 0.5 else r.choice(sizes)
        rows[w, h] += r.randint(1, 24)
    return Demand(tuple(Item(w, h, n, turn) for (w, h), n in sorted(rows.items())))


@pytest.mark.parametrize("seed", range(24))
def test_random_plans_are_sound(seed: int) -> None:
    demand = random_demand(seed)
    plan = shortest(demand, 320, tries=3)
    assert judge(demand, plan) == []
    assert plan.bound <= plan.bought
    rows = sum(s.height for s in tidy(first_fit(demand, 320), demand))
    formula = sum(s.height for s in formula_rows(demand, 320) or [])
    assert plan.bought <= -(-min(rows, formula) // 36) * 36
    if plan.certificate:
        assert plan.certificate.holds(demand)


def test_the_checker_finds_every_kind_of_fault() -> None:
    one = Counter({(2.0, 2.0): 2})
    good = [(0, 0, 2, 2), (2, 0, 2, 2)]
    assert faults(good, one, 4, 2, may_turn=False) == []
    assert "outside" in faults(good, one, 3, 2, may_turn=False)[0]
    assert "overlap" in faults([(0, 0, 2, 2), (1, 0, 2, 2)], one, 4, 2, may_turn=False)[0]
    assert "too few" in faults(good[:1], one, 4, 2, may_turn=False)[0]
    wheel = [(0, 0, 2, 1), (2, 0, 1, 2), (1, 2, 2, 1), (0, 1, 1, 2)]
    sizes = Counter({(2.0, 1.0): 2, (1.0, 2.0): 2})
    assert "edge-to-edge" in faults(wheel, sizes, 3, 3, may_turn=False)[0]


def test_worked_example_63_squares() -> None:
    """Published on a quilting forum: 63 squares of 9 1/2 in from 42 in: 16 strips, 152 in."""
    plan = shortest(Demand.of([(76, 76, 63)]), 336)
    assert (len(plan.strips), plan.length / 8, plan.status) == (16, 152.0, "optimal")


def brute_force(rects: list[tuple[int, int]], width: int, length: int) -> bool:
    """Whether the rectangles (no turning) can be packed at all: bottom-left points, all orders."""
    if not rects:
        return True
    grid = [[False] * length for _ in range(width)]

    def put(left: list[tuple[int, int]]) -> bool:
        if not left:
            return True
        tried = set()
        for k, (w, h) in enumerate(left):
            if (w, h) in tried:
                continue
            tried.add((w, h))
            for x, y in itertools.product(range(width - w + 1), range(length - h + 1)):
                cells = [(x + i, y + j) for i in range(w) for j in range(h)]
                if any(grid[a][b] for a, b in cells):
                    continue
                for a, b in cells:
                    grid[a][b] = True
                done = put(left[:k] + left[k + 1 :])
                for a, b in cells:
                    grid[a][b] = False
                if done:
                    return True
            return False  # this piece fits nowhere, so nothing does
        return False

    return put(rects)


@pytest.mark.parametrize("seed", range(60))
def test_no_bound_contradicts_exhaustive_search(seed: int) -> None:
    """Cloth that holds the pieces (found cell by cell) is never 'proved' too small."""
    r = random.Random(seed)
    width, length = r.randint(4, 6), r.randint(4, 6)
    rects = [(r.randint(1, 4), r.randint(1, 4)) for _ in range(r.randint(2, 5))]
    rects = [(min(w, width), min(h, length)) for w, h in rects]
    if not brute_force(rects, width, length):
        return
    turn = r.random() < 0.5
    rows = Counter(rects)
    demand = Demand(tuple(Item(w, h, n, turn) for (w, h), n in sorted(rows.items())))
    assert prove_impossible(demand, [(width, length)]) is None
    assert width_bound(demand, width) <= length


@pytest.mark.parametrize("seed", range(30))
def test_no_case_is_forgotten_in_a_proof(seed: int) -> None:
    """A sheet cut edge to edge, its pieces then turned at random, is never 'proved' too small."""
    r = random.Random(seed)
    rects = [(r.choice([160, 320]), r.randint(200, 400))]
    width, length = rects[0]
    while len(rects) < 9:
        w, h = rects.pop(r.randrange(len(rects)))
        at = r.randint(1, max(w, h) - 1)
        rects += [(at, h), (w - at, h)] if w > h else [(w, at), (w, h - at)]
    rows = Counter((w, h) if r.random() < 0.5 else (h, w) for w, h in rects)
    demand = Demand(tuple(Item(w, h, n, True) for (w, h), n in sorted(rows.items())))
    assert prove_impossible(demand, [(width, length)]) is None


def test_bounds_see_more_than_area() -> None:
    four = Demand.of([(11, 11, 4)])  # 4 squares over half the width: one below the other
    assert width_bound(four, 21) == 44
    proof = prove_impossible(four, [(21, 43)])
    assert proof is not None
    assert proof.holds(four)
    assert "leave no room beside them" in proof.sentence(four)
    mixed = Demand.of([(11, 11, 3), (9, 9, 3)])  # 11 + 9 fit side by side: nothing is set aside
    weighed = prove_impossible(mixed, [(21, 32)])
    assert weighed is not None
    assert "%" in weighed.sentence(mixed)


def test_pieces_that_leave_no_room_are_set_aside_with_their_strip() -> None:
    """Long strips that can stand only while the others are not there."""
    rest, cloths = reduced(
        Demand.of([(320, 36, 4), (196, 36, 4), (12, 12, 8)], may_turn=True), ((320, 300),)
    )
    assert cloths == ((320, 156),)
    assert rest is not None
    assert [(i.width, i.height, i.may_turn) for i in rest.items] == [
        (196, 36, False),
        (12, 12, False),
    ]
    long = Demand.of([(320, 36, 4), (196, 36, 4), (12, 12, 8)], may_turn=True)
    assert prove_impossible(long, [(320, 287)]) is not None
    assert prove_impossible(long, [(320, 288)]) is None


def test_long_pieces_are_laid_every_way_in_a_proof() -> None:
    """Five strips of 39 in and seven of 40 in leave no room for four large squares, however they
    lie; by hand: lying they leave 162 of 432, standing two of them keep the others from lying."""
    demand = Demand.of(
        [(20, 20, 4), (74, 74, 1), (101, 101, 4), (312, 26, 5), (320, 20, 7)], may_turn=True
    )
    proof = prove_impossible(demand, [(320, 432)])
    assert proof is not None
    assert proof.cases
    assert proof.ways > 2
    assert proof.holds(demand)
    assert not replace(proof, cases=proof.cases[1:]).holds(demand)
    assert "ways of laying its long pieces" in proof.sentence(demand)


def test_capacity_is_a_bounded_knapsack() -> None:
    assert capacity([(3, 5), (4, 7)], 10, {3: 9, 4: 9}) == 17
    assert capacity([(3, 5), (4, 7)], 10, {3: 1, 4: 1}) == 12
    assert capacity([(3, 5)], 2, {3: 9}) == 0


def test_a_piece_wider_than_the_cloth_is_refused() -> None:
    with pytest.raises(QuiltValueError, match="fit the width"):
        shortest(Demand.of([(400, 20, 1)]), 320)


def test_same_list_same_plan() -> None:
    demand = random_demand(3)
    assert shortest(demand, 320, tries=1) == shortest(demand, 320, tries=1)
