"""Parts of the plan search: fillings, partial plans, the second pass, time limits, known optima."""

from __future__ import annotations

import itertools
import os
import random
import subprocess
import sys

import numpy as np
import pytest

from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.cutting.solver.beam import Beam, search
from quiltgeom.cutting.solver.bounds import prove_impossible, width_bound
from quiltgeom.cutting.solver.budget import Budget
from quiltgeom.cutting.solver.columns import Pool, generate
from quiltgeom.cutting.solver.fill import PRICE_UNIT, Filler
from quiltgeom.cutting.solver.finder import Finder
from quiltgeom.cutting.solver.items import Demand
from quiltgeom.cutting.solver.simplify import effort_of
from quiltgeom.cutting.solver.solve import shortest
from quiltgeom.cutting.solver.strips import first_fit, place
from tests.benchmarks.instances import C1, PERFECT, constructed, published, quilts
from tests.cutting.test_solve import judge, random_demand


@pytest.mark.parametrize("seed", range(6))
def test_strips_hold_what_the_filling_says_and_fit(seed: int) -> None:
    demand = random_demand(seed)
    filler = Filler(demand, 320, 200)
    r = np.random.default_rng(seed)
    area = np.array([i.width * i.height / 320 for i in demand.items]) * PRICE_UNIT
    prices = (area * r.uniform(0.5, 1.5, (3, len(area)))).astype(np.int32)
    most = np.minimum(np.array(demand.counts), r.integers(0, 9, prices.shape))
    values, uses = filler.fill(prices, most)
    for v, h in itertools.product(range(3), range(0, len(filler.heights), 3)):
        strip = filler.strip(v, h)
        if not strip.stacks:
            assert values[v, h] == 0
            continue
        assert strip.use(demand).tolist() == uses[v, h].tolist()
        assert (uses[v, h] <= most[v]).all()
        assert values[v, h] == prices[v] @ uses[v, h]
        assert sum(s.width for s in strip.stacks) <= 320
        assert all(s.height(demand) <= strip.height for s in strip.stacks)
        boxes = place([strip], demand)
        assert max(b.x + b.width for b in boxes) <= 320


def test_a_filling_of_plenty_is_exact() -> None:
    """With pieces in plenty a strip one piece high is an unbounded knapsack: all of them tried."""
    demand = Demand.of([(28, 28, 99), (23, 28, 99), (41, 28, 99)])
    prices = np.array([[280, 225, 415]], dtype=np.int32) * 100
    filler = Filler(demand, 160, 28)
    values, _ = filler.fill(prices, np.array([demand.counts]))
    best = max(
        a * 280 + b * 225 + c * 415
        for a, b, c in itertools.product(range(6), range(7), range(4))
        if 28 * a + 23 * b + 41 * c <= 160
    )
    assert values[0, filler.heights.tolist().index(28)] == 100 * best


@pytest.mark.parametrize("seed", range(8))
def test_the_search_finds_the_best_of_few_strips(seed: int) -> None:
    r = random.Random(seed)
    heights = np.array([r.randint(3, 9) for _ in range(5)])
    uses = np.array([[r.randint(0, 3) for _ in range(3)] for _ in range(5)])
    uses[r.randrange(5)] += 1
    need = np.array([r.randint(1, 6) for _ in range(3)])
    best = min(
        sum(n * h for n, h in zip(times, heights, strict=True))
        for times in itertools.product(range(7), repeat=5)
        if (np.array(times) @ uses >= need).all()
    )
    found = search(heights, uses, need, np.zeros(3, dtype=np.int64), 99, Beam(500, (0, 1, 2)))
    assert found is not None
    assert heights[found].sum() == best
    assert (uses[found].sum(axis=0) >= need).all()
    assert (
        search(heights, uses, need, np.zeros(3, dtype=np.int64), best - 1, Beam(500, (0, 1, 2)))
        is None
    )


def test_prices_never_overrate_a_strip() -> None:
    demand = random_demand(5)
    pool = Pool(demand, 320)
    pool.extend(first_fit(demand, 320))
    prices = generate(pool, Filler(demand, 320, 200), 1, rounds=3)
    assert (pool.uses @ prices <= pool.heights * PRICE_UNIT).all()


@pytest.mark.parametrize("seed", [2, 4, 9])
def test_second_pass_buys_the_same_with_no_more_strip_heights(seed: int) -> None:
    demand = random_demand(seed)
    finder = Finder(demand, 320, lambda k: 36 * k, 36)
    finder.run(3)  # too little effort for a second pass
    before = effort_of(finder.best, demand, 320)
    target = 36 * finder.steps_for(finder.length)
    if not finder.ready:
        finder.prepare(target)
    after = effort_of(finder.simpler(target), demand, 320)
    assert after[:2] <= before[:2]
    assert after[2] <= target


def test_a_time_limit_returns_a_sound_plan_and_says_so() -> None:
    demand = random_demand(11)
    plan = shortest(demand, 320, step=1, budget=Budget(0.0))
    assert plan.cut_short
    assert judge(demand, plan) == []
    assert plan.bound <= plan.bought
    at_once = shortest(Demand.of([(76, 76, 63)]), 336, budget=Budget(0.0))
    assert not at_once.cut_short


def test_straightening_counts_in_what_is_bought() -> None:
    """36 in of pieces: 36 in if nothing is added, a step more if an inch is."""
    demand = Demand.of([(320, 36, 8)])
    bare = shortest(demand, 320, usable=lambda k: round(Terms(straighten=0).usable(4.5 * k) * 8))
    usual = shortest(demand, 320, usable=lambda k: round(Terms().usable(4.5 * k) * 8))
    assert (bare.bought, usual.bought) == (288, 288 + 36 - 8)
    assert bare.status == usual.status == "optimal"


def test_pieces_longer_than_the_cloth_is_wide_go_along_it() -> None:
    """Binding and borders as lists have them; 67 1/2 in by a plan along the cloth, by hand."""
    demand = Demand.of(
        [(20, 20, 20), (31, 31, 48), (320, 20, 7), (410, 28, 2), (522, 28, 2)], may_turn=True
    )
    plan = shortest(demand, 320)
    assert judge(demand, plan) == []
    assert (plan.bought, plan.status) == (540, "optimal")


@pytest.mark.parametrize(
    ("rows", "inches"),
    [
        # two borders stand, the other four lie beside them, binding below: 51 1/2 + 8 x 2 1/2
        ([(40, 412, 2), (196, 40, 4), (312, 20, 8)], 71.5),
        # beside borders of 48 1/2, 31 in are left for 22 1/2 and for 26 3/8 below each other
        ([(36, 388, 2), (180, 36, 4), (211, 52, 1), (317, 52, 2), (320, 20, 6)], 76.5),
        # 24 squares beside two borders: three stacks of seven and one of the three that are left
        ([(12, 388, 2), (52, 52, 24), (308, 12, 2), (320, 20, 6)], 66.5),
        ([(24, 24, 48), (28, 412, 2), (40, 40, 12), (181, 28, 4), (320, 20, 6)], 66.5),
    ],
)
def test_long_borders_stand_and_the_rest_lies_beside_them(
    rows: list[tuple[int, int, int]], inches: float
) -> None:
    """Lists of one-way borders; by hand, as noted (the last: 51 1/2 + 6 x 2 1/2)."""
    demand = Demand.of(rows)
    plan = shortest(demand, 320)
    assert plan.length / 8 <= inches
    assert judge(demand, plan) == []


def test_written_down_lists_have_the_area_of_their_sheet() -> None:
    for rects in C1:
        assert sum(w * h for w, h in rects) == 400
    for _, width, length, sides in PERFECT:
        assert sum(s * s for s in sides) == width * length


def test_no_bound_exceeds_a_known_optimum() -> None:
    for i in [*published(), *constructed()[:2], *quilts(2)]:
        assert width_bound(i.demand, i.width) <= i.optimum
        assert prove_impossible(i.demand, [(i.width, i.optimum)]) is None


@pytest.mark.parametrize("k", [1, 4])
def test_known_optima_that_strips_reach(k: int) -> None:
    """C1-P1 with turning and C1-P3 one way: 20 is the shortest, and these strips reach it."""
    i = published()[k]
    plan = shortest(i.demand, i.width, step=1)
    assert judge(i.demand, plan) == []
    assert (plan.length, plan.bound) == (i.optimum, i.optimum)


def test_same_plan_whatever_the_hash_seed() -> None:
    code = (
        "from tests.cutting.test_solve import random_demand\n"
        "from quiltgeom.cutting.solver.solve import shortest\n"
        "p = shortest(random_demand(7), 320, step=4, tries=5)\n"
        "print(p.spots, p.bound)"
    )
    outputs = {
        subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    }
    assert len(outputs) == 1
