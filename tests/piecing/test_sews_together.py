"""What is cut sews together: every pattern at three sizes and 200 random designs, every method.

The suite judges a sample, ``QUILTGEOM_EVERY_PLAN=1`` all (``tests/piecing/test_sews_together.py``).
"""

from __future__ import annotations

import math
import os
import random
from collections.abc import Iterator, Mapping
from dataclasses import replace

import pytest
from shapely.geometry import Polygon

from quiltgeom.cutting.as_sewn import as_sewn, trimmed
from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.cutting.letters import cut_letters
from quiltgeom.cutting.listing import trimming
from quiltgeom.cutting.methods.unit import CutUnit
from quiltgeom.cutting.options import METHODS, CutOptions
from quiltgeom.cutting.wanted import Wanted, wanted_units
from quiltgeom.errors import QuiltError
from quiltgeom.layout.quilt_layout import BLOCK_STEP, lay_out
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Direction, Fabric
from quiltgeom.model.quilt import Quilt
from quiltgeom.piecing.seam_check.sews_together import sewn_quilt, with_trims
from quiltgeom.sewing.sewing_sheet import sew_quilt
from tests.cutting.test_every_plan import random_quilt

EVERY = bool(os.environ.get("QUILTGEOM_EVERY_PLAN"))
DIRECTIONS: tuple[Direction, ...] = ("one-way", "two-way", "four-way", "non-directional")
PATTERNS = list(load_patterns())
SIZES = [(p.key, share) for p in PATTERNS for share in (0.75, 1.0, 1.25)]
RULES = [(seam, rule) for seam in (0.25, 0.375) for rule in ("trade", "exact")]


def lists(quilt: Quilt, ways: Mapping[str, Direction], seam: float, rule: str) -> Iterator[Wanted]:
    """The cutting lists of a quilt by every method that applies, as widely as it does."""
    fabrics = {r: Fabric(r, colour="#88aacc", direction=d) for r, d in ways.items()}
    for method in METHODS:
        for roles in (list(ways), *([r] for r in ways)):
            asked = dict.fromkeys(roles, method)
            plain = {r: replace(f, direction="non-directional") for r, f in fabrics.items()}
            try:
                options = CutOptions(methods=asked, seam=seam, rule=rule)  # type: ignore[arg-type]
                cloth = plain if method == "fours" else fabrics
                yield wanted_units(quilt, cloth, options=options)
            except QuiltError:  # nothing in it to be cut that way
                continue
            break


def judge(quilt: Quilt, ways: Mapping[str, Direction], seam: float, rule: str) -> int:
    """No seam is left that does not fit; returns how many lists were sewn."""
    count = 0
    for wanted in lists(quilt, ways, seam, rule):
        sewn = sewn_quilt(quilt, wanted.letters, seam=seam)
        assert [str(f) for f in sewn.faults] == []
        count += 1
    return count


@pytest.mark.parametrize(("key", "share"), SIZES if EVERY else SIZES[::5])
def test_every_pattern_at_three_sizes(key: str, share: float) -> None:
    pattern = load_patterns().get(key)
    size = max(round(pattern.block_size * share / BLOCK_STEP), 1) * BLOCK_STEP
    quilt = lay_out(pattern, block_size=size)
    roles = [r for r, n in quilt.count_by_role.items() if n]
    k = SIZES.index((key, share))
    for n, (seam, rule) in enumerate(RULES if EVERY else RULES[k % 4 : k % 4 + 1]):
        ways: dict[str, Direction] = dict.fromkeys(roles, DIRECTIONS[(k + n) % 4])
        assert judge(quilt, ways, seam, rule) >= 4


@pytest.mark.parametrize("seed", range(200) if EVERY else range(0, 200, 17))
def test_random_designs(seed: int) -> None:
    r = random.Random(seed)
    quilt = random_quilt(r)
    ways = {role: r.choice(DIRECTIONS) for role, n in quilt.count_by_role.items() if n}
    seam, rule = RULES[seed % 4]
    assert judge(quilt, ways, seam, rule) >= 4


def keep_with_thirds() -> Quilt:
    """Lighthouse Keep with blocks of 5 inches in thirds beside its plain borders."""
    pattern = load_patterns().get("lighthouse-keep")
    thirds = load_blocks().get("nine-patch").recoloured({"focus": "accent"})
    tiles = {**pattern.tiles, "S": replace(pattern.tiles["S"], block=thirds)}
    return lay_out(replace(pattern, tiles=tiles))


def test_thirds_of_five_inches_do_not_fit_as_cut() -> None:
    """1 2/3" is cut 2 1/4" and sews to 1 3/4": three make 5 1/4", eight blocks 42" beside 40"."""
    quilt = keep_with_thirds()
    letters = wanted_units(quilt, {}).letters
    found = [str(f) for f in sewn_quilt(quilt, letters, seam=0.25, trimming=False).faults]
    assert any(
        f.startswith("the top, step") and "40.000 in and 42.000 in, 2.000 in apart" in f
        for f in found
    )
    sewn = sewn_quilt(quilt, letters, seam=0.25)
    assert sewn.faults == ()
    assert 'Nine Patch to 5 1/2" square' in sewn.trims
    assert not any(t.startswith("unit") for t in sewn.trims)


def test_the_library_keeps_its_blocks_untrimmed_at_its_own_sizes() -> None:
    """Only what its method trims is trimmed: units of triangles, slanted patches by templates, and
    what is measured on the diagonal; no block, and no patch that is not slanted."""
    for pattern in PATTERNS:
        if pattern.setting in ("on-point", "lattice"):
            continue
        quilt = lay_out(pattern)
        trims = sewn_quilt(quilt, wanted_units(quilt, {}).letters, seam=0.25).trims
        words = ("triangle", "geese", "square in a square", "by its template")
        assert [t for t in trims if not any(w in t.lower() for w in words)] == [], pattern.key


@pytest.mark.parametrize("wrong", [-4, -1, 1, 4])
def test_a_wrong_cut_size_is_found(wrong: int) -> None:
    """One letter cut some eighths too long or too short, with all that is trimmed."""
    quilt = lay_out(load_patterns().get("gull-cove"))
    wanted = wanted_units(quilt, {})
    letter = next(wanted.letters.of(u) for u in wanted.units["focus"])

    def cut(unit: CutUnit) -> CutUnit:
        return (
            replace(unit, width=unit.width + wrong)
            if unit.members and (wanted.letters.of(unit) == letter)
            else unit
        )

    units = {role: [cut(u) for u in us] for role, us in wanted.units.items()}
    found = list(sewn_quilt(quilt, cut_letters(quilt, units), seam=0.25).faults)
    assert found
    assert any(abs(f.difference - abs(wrong) / 8) < 1e-6 for f in found)
    assert all("step" in f.place and f"{f.one:.3f} in" in str(f) for f in found)


def test_triangles_sew_to_what_is_left_inside_their_seams() -> None:
    """Cut triangles drawn, and the allowance taken off all round by shapely."""
    quilt = lay_out(load_patterns().get("sail-loft"), rows=2, columns=2)
    half, whole = Polygon([(0, 0), (1, 0), (0, 1)]), Polygon([(0, 0), (2, 0), (1, 1)])
    seen = set()
    for seam, rule in RULES:
        for method in ("squares", "pairs", "eights", "fours"):
            roles = [r for r, n in quilt.count_by_role.items() if n]
            for role in roles:
                try:
                    options = CutOptions(methods={role: method}, seam=seam, rule=rule)  # type: ignore[arg-type]
                    units = wanted_units(quilt, {}, options=options).units[role]
                except QuiltError:
                    continue
                for unit in units:
                    side = unit.width / 8
                    if unit.method in ("square cut once", "pair of squares"):
                        cut, leg = half, side
                    elif unit.method == "eight at a time":
                        cut, leg = half, side / 2
                    elif unit.method == "four at a time":
                        # sewn 1/4 in from the edges, cut on the diagonals: a unit's long side runs
                        # along an edge of the square, its tip at the middle
                        left = Polygon([(0, 0), (side, 0), (side / 2, side / 2)]).buffer(
                            -seam, join_style="mitre", mitre_limit=9
                        )
                        assert left.bounds[2] - left.bounds[0] == pytest.approx(
                            side - (2 + 2 * math.sqrt(2)) * seam
                        )
                        continue
                    else:
                        continue
                    outline = Polygon([(x * leg, y * leg) for x, y in cut.exterior.coords[:3]])
                    left = outline.buffer(-seam, join_style="mitre", mitre_limit=9)
                    for piece, sewn in as_sewn(quilt, [unit], seam).items():
                        finished = math.sqrt(2 * quilt.pieces[piece].area)
                        assert sewn.x * finished == pytest.approx(left.bounds[2] - left.bounds[0])
                        seen.add(unit.method)
    assert seen == {"square cut once", "pair of squares", "eight at a time"}
    assert whole.area == 1


def test_sizes_to_trim_to_are_never_too_small() -> None:
    for k in range(1, 400):
        finished = k / 17
        for seam in (0.25, 0.375, 1 / 2.54):
            assert 0 <= trimmed(finished, seam) - finished - 2 * seam < 1 / 32


@pytest.mark.parametrize(
    ("key", "size"),
    [
        ("gull-cove", None),
        ("harbour-windows", 7.75),
        ("fish-boxes", None),
        ("lighthouse-keep", 8.25),
    ],
)
def test_list_and_sewing_say_the_same_trims(key: str, size: float | None) -> None:
    design = Design(key, block_size=size)
    quilt = lay_out(load_patterns().get(key), block_size=size)
    plan = with_trims(cut_plan(quilt, {}, effort=0))
    made = sew_quilt(quilt, design, sewn=sewn_quilt(quilt, plan.letters, seam=design.allowance))
    assert plan.trims == made.trims != ()
    text = "\n".join(made.lines())
    for trim in plan.trims:
        assert trim in trimming(plan)
        assert (
            trim[trim.rindex(" to ") :].strip() in text
            if " to " in trim
            else ("by its template" in text)
        )
    stepped = sum(t.count("trim to") + t.count("Trim ") for t in made.lines())
    assert stepped >= 1
