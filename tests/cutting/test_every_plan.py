"""Plans of every pattern at three sizes and of 200 random designs, judged by independent code.

The suite judges a sample; ``QUILTGEOM_EVERY_PLAN=1 pytest tests/cutting/test_every_plan.py`` all.
"""

from __future__ import annotations

import itertools
import math
import os
import random
from collections import Counter

import pytest
from shapely.geometry import Polygon

from quiltgeom.cutting.cutting_plan import CutPlan, FabricPlan, cut_plan
from quiltgeom.errors import QuiltError
from quiltgeom.layout.quilt_layout import BLOCK_STEP, lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Direction, Fabric
from quiltgeom.model.quilt import Quilt
from tests.cutting.checker import faults
from tests.cutting.test_plan import check

EVERY = bool(os.environ.get("QUILTGEOM_EVERY_PLAN"))
DIRECTIONS: tuple[Direction, ...] = ("one-way", "two-way", "four-way", "non-directional")
STAGES = 4  # strips, stacks, rows, pieces; then single pieces are trimmed
PATTERNS = list(load_patterns())
SIZES = [(p.key, share) for p in PATTERNS for share in (0.75, 1.0, 1.25)]


def judge(plan: CutPlan) -> None:
    """Every patch once, where the print lies as shown, on the cloth, cut edge to edge; the demand
    of the plan is the quilt, by count and by area."""
    check(plan)
    judge_print(plan)
    area, count = Counter[str](), Counter[str]()
    for piece in plan.quilt:
        count[piece.role] += 1
        area[piece.role] += Polygon(piece.outline.polygon).area
    assert {f.role for f in plan.fabrics} == set(count)
    for fabric in plan.fabrics:
        judge_fabric(fabric)
        members = [m.piece for p in fabric.placed for m in p.unit.members if m.part == 1]
        assert len(members) == len(set(members)) == count[fabric.role]
        cut = sum(plan.quilt.pieces[m].outline.polygon.area for m in members)
        assert cut == pytest.approx(area[fabric.role], rel=1e-9)
        assert sum(p.width * p.height for p in fabric.placed) >= cut


def judge_fabric(fabric: FabricPlan) -> None:
    """Rectangles as the solver's list wants them; the length, the purchase and the bound agree."""
    wanted: Counter[tuple[float, float]] = Counter()
    for i in fabric.demand.items:
        wanted[i.width / 8, i.height / 8] += i.count
    boxes = [(p.x, p.y, p.width, p.height) for p in fabric.placed]
    turn = any(i.may_turn for i in fabric.demand.items)
    assert faults(boxes, wanted, fabric.width, fabric.length, may_turn=turn, stages=STAGES) == []
    assert fabric.buy >= fabric.length + fabric.terms.straighten - 1e-9
    assert fabric.bound <= fabric.buy + 1e-9
    assert (fabric.status == "optimal") == (fabric.buy <= fabric.bound + 1e-9)


def judge_print(plan: CutPlan) -> None:
    """The print and the grain of every patch lie as the layout shows them, as far as the cloth
    tells; plain cloth may also lie with a longest edge along the threads."""
    periods = {"one-way": 360.0, "two-way": 180.0, "four-way": 90.0, "non-directional": 90.0}
    for fabric in plan.fabrics:
        period = periods[fabric.direction]
        for placed in fabric.placed:
            assert not (placed.turned and placed.unit.fixed)
            for k, member in enumerate(placed.unit.members):
                piece = plan.quilt.pieces[member.piece]
                off = (placed.lie(k) - piece.lie_deg) % period
                if min(off, period - off) > 1e-6:
                    assert fabric.direction == "non-directional"
                    if not any(piece.outline.bulges):  # curves have no edge to lay along
                        assert along_the_threads(piece.outline.polygon, placed.lie(k))


def along_the_threads(shape: Polygon, lie: float) -> bool:
    """Whether one of the longest edges runs along or across cloth that lies like this."""
    points = list(shape.exterior.coords)
    edges = [
        (math.dist(a, b), math.atan2(b[1] - a[1], b[0] - a[0]))
        for a, b in itertools.pairwise(points)
    ]
    longest = max(length for length, _ in edges)
    turns = [(math.degrees(angle) - lie) % 90 for length, angle in edges if length > longest - 1e-6]
    return any(min(t, 90 - t) < 1e-6 for t in turns)


def cloth(quilt: Quilt, ways: list[Direction]) -> dict[str, Fabric]:
    roles = [r for r, n in quilt.count_by_role.items() if n]
    return {
        r: Fabric(r, colour="#88aacc", direction=ways[k % len(ways)]) for k, r in enumerate(roles)
    }


@pytest.mark.parametrize(("key", "share"), SIZES if EVERY else SIZES[::7])
def test_every_pattern_at_three_sizes(key: str, share: float) -> None:
    pattern = load_patterns().get(key)
    size = max(round(pattern.block_size * share / BLOCK_STEP), 1) * BLOCK_STEP
    quilt = lay_out(pattern, block_size=size)
    for direction in DIRECTIONS if EVERY else DIRECTIONS[::3]:
        judge(cut_plan(quilt, cloth(quilt, [direction]), effort=2))


def random_quilt(r: random.Random) -> Quilt:
    """A pattern of another size, with other numbers of blocks."""
    while True:
        pattern = r.choice(PATTERNS)
        size = max(round(pattern.block_size * r.uniform(0.6, 1.4) / BLOCK_STEP), 1) * BLOCK_STEP
        try:
            return lay_out(pattern, block_size=size, rows=r.randint(1, 6), columns=r.randint(1, 6))
        except QuiltError:  # the pattern has no such version
            continue


def random_design(seed: int) -> CutPlan:
    """A random quilt on cloth of mixed directions, wide enough for its widest patch."""
    r = random.Random(seed)
    quilt = random_quilt(r)
    ways = [r.choice(DIRECTIONS) for _ in range(6)]
    width = r.choice([36.0, 40.0, 42.0, 44.0, 108.0])
    bounds = [p.outline.bounds for p in quilt if not p.is_strip]
    if max(max(x1 - x0, y1 - y0) for x0, y0, x1, y1 in bounds) > width - 1:
        width = 108.0
    return cut_plan(quilt, cloth(quilt, ways), width=width, effort=2)


@pytest.mark.parametrize("seed", range(200) if EVERY else range(0, 200, 17))
def test_random_designs(seed: int) -> None:
    judge(random_design(seed))
