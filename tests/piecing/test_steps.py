"""Units made so many times, foundation sections, pressing, difficulty."""

import sys
from pathlib import Path

import pytest

from quiltgeom.geometry.congruence import same_shape
from quiltgeom.geometry.outline import Outline
from quiltgeom.library.blocks import load_blocks
from quiltgeom.piecing.difficulty import WORDS, block_difficulty
from quiltgeom.piecing.foundation import foundation_sections
from quiltgeom.piecing.pressing import press
from quiltgeom.piecing.sewing_plan import plan_block, plan_outlines
from quiltgeom.piecing.steps import sewing_steps
from tests.conftest import swept_blocks

sys.path.insert(0, str(Path(__file__).parent))
from cells import outlines, table

BLOCKS = swept_blocks()
CELLS = {row[0]: row for row in table()}


def _plan(name):
    _, cells, widths, _, _ = CELLS[name]
    return plan_outlines(outlines(cells, widths))


def _steps(block):
    plan = plan_block(block)
    return plan, sewing_steps(plan, [p.role for p in block.patches])


def test_churn_dash_two_kinds_of_unit_four_times_each():
    _, steps = _steps(load_blocks().get("churn-dash"))
    assert [s.count for s in steps] == [4, 4, 2, 1, 1]
    assert [s.text for s in steps][-1] == "Sew unit 3 + unit 4 + unit 3: the block is done."


def test_mirror_images_are_counted_apart():
    _, steps = _steps(load_blocks().get("bears-paw"))
    assert (steps.steps[1].count, steps.steps[1].mirrored) == (4, 4)
    assert "4 mirrored" in steps.steps[1].text


def test_units_are_made_before_rows():
    """The paws of a bear's paw and the four-patches of fifty-four forty, not slices of them."""
    texts = [s.text for s in _steps(load_blocks().get("bears-paw"))[1]]
    assert "Sew unit 3 + unit 4: unit 5, make 4." in texts
    texts = [s.text for s in _steps(load_blocks().get("fifty-four-forty-or-fight"))[1]]
    assert "Sew unit 1 + unit 1: four-patch, make 5." in texts


@pytest.mark.parametrize("block", BLOCKS, ids=lambda b: b.key)
def test_steps_use_up_every_patch(block):
    """Multiplying out what each step uses gives the patches of the block again."""
    _, steps = _steps(block)
    if len(block.patches) == 1:
        assert len(steps) == 0
        return
    need = {str(s.number): s.count + s.mirrored for s in steps}
    used: dict[str, int] = {}
    for step in steps:
        for part in step.parts:
            label = part.rstrip("r")
            used[label] = used.get(label, 0) + step.count + step.mirrored
    assert need[str(len(steps))] == 1
    for step in steps.steps[:-1]:
        assert used[str(step.number)] == need[str(step.number)]
    letters = [p.rstrip("r") for p in steps.patches]
    assert {k: v for k, v in used.items() if k.isalpha()} == {
        k: letters.count(k) for k in set(letters)
    }


# Counts worked out by hand and by a separate program on the same drawings.
@pytest.mark.parametrize(
    ("name", "sections"),
    [
        ("Churn Dash", 3),
        ("Ohio Star", 5),
        ("Log Cabin", 1),
        ("Steps (Courthouse Steps)", 1),
        ("Bear's Paw", 9),
        ("Wild Goose Chase (strip)", 1),
        ("Nine Patch", 3),
        ("Four Patch", 2),
    ],
)
def test_foundation_sections(name, sections):
    found = foundation_sections(_plan(name))
    assert (found.strict, found.proven) == (sections, True)
    assert len(found.sections) == sections


def test_a_spiral_starts_on_a_pieced_base():
    found = foundation_sections(plan_block(load_blocks().get("snails-trail")))
    assert (found.strict, found.with_bases) == (16, 3)  # four rounds, see below


def _spiral(rounds):
    """A four-patch, and round it that many rounds of four right isosceles triangles, each with
    its long side on the square before."""
    square = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
    patches = [
        Outline(((x, y), (x + 1, y), (x + 1, y + 1), (x, y + 1)))
        for x in (-1.0, 0.0)
        for y in (-1.0, 0.0)
    ]
    for _ in range(rounds):
        wide = []
        for (x0, y0), (x1, y1) in zip(square, square[1:] + square[:1], strict=True):
            tip = ((x0 + x1) / 2 + (y1 - y0) / 2, (y0 + y1) / 2 - (x1 - x0) / 2)
            patches.append(Outline(((x0, y0), tip, (x1, y1))))
            wide.append(tip)
        square = wide
    return patches


@pytest.mark.parametrize("rounds", [1, 2, 3, 4])
def test_sections_of_a_spiral_count_up_by_its_rounds(rounds):
    """By hand: the four-patch parts only along a line that two triangles of the first round hide,
    and those are hidden by all the others; every one of these is sewn on by itself. So 4 (r - 1)
    + 2 single patches and two halves: 4 r. Begun on the pieced four-patch it is 2 + 1."""
    found = foundation_sections(plan_outlines(_spiral(rounds)))
    assert (found.strict, found.with_bases, found.proven) == (4 * rounds, 3, True)


def test_no_foundation_for_set_in_partial_or_curved_seams():
    for key in ("eight-pointed-star", "drunkards-path"):
        assert foundation_sections(plan_block(load_blocks().get(key))) is None


@pytest.mark.parametrize("block", BLOCKS, ids=lambda b: b.key)
def test_each_foundation_piece_joins_the_ones_before_it_along_one_line(block):
    plan = plan_block(block)
    found = foundation_sections(plan)
    if found is None:
        return
    assert sorted(f for s in found.sections for f in s.order) == list(range(len(block.patches)))
    for section in found.sections:
        sewn = plan.outlines[section.order[0]].polygon
        for face in section.order[1:]:
            patch = plan.outlines[face].polygon
            shared = sewn.boundary.intersection(patch.boundary.buffer(1e-7))
            assert shared.minimum_rotated_rectangle.area < 1e-5
            assert shared.length > 1e-3
            sewn = sewn.union(patch.buffer(1e-9))


@pytest.mark.parametrize(
    "key", ["four-patch", "nine-patch", "churn-dash", "ohio-star", "jacobs-ladder", "bears-paw"]
)
def test_all_seams_nest_where_equal_units_are_pressed_alike(key):
    made = press(*_steps(load_blocks().get(key)))
    assert made.crossings > 0
    assert made.nested == made.crossings


def test_nested_seams_lie_to_opposite_sides():
    """Nine patch: rows 1 and 3 are pressed one way, row 2 the other way."""
    plan, steps = _steps(load_blocks().get("nine-patch"))
    towards = press(plan, steps).towards
    outer, inner = [towards[1, k] - k for k in (0, 1)], [towards[2, k] - k for k in (0, 1)]
    assert [a != b for a, b in zip(outer, inner, strict=True)] == [True, True]


def test_pressing_gives_every_seam_a_side():
    for block in BLOCKS:
        plan, steps = _steps(block)
        made = press(plan, steps)
        assert set(made.towards) == {(s.number, k) for s in steps for k in range(len(s.seams))}
        assert all(part in (k, k + 1) for (_, k), part in made.towards.items())
        assert 0 <= made.nested <= made.crossings


def test_difficulty_words_for_blocks_taught_first_and_last():
    """From memory of how classes order them: squares, then triangles, then set-in and curves."""
    word = {b.key: block_difficulty(b).word for b in BLOCKS}
    for key in ("nine-patch", "four-patch", "rail-fence", "friendship-star"):
        assert word[key] == WORDS[0], key
    for key in ("eight-pointed-star", "drunkards-path"):
        assert WORDS.index(word[key]) >= 2, key


def test_a_smaller_block_is_never_easier_and_says_why():
    for block in BLOCKS:
        large, small = block_difficulty(block, 12), block_difficulty(block, 3)
        assert small.level >= large.level
        assert bool(small.reasons) == (small.level > 0)
    narrow = block_difficulty(load_blocks().get("nine-patch"), 3)
    assert narrow.reasons == ('narrowest patch 1" finished',)


def test_shapes_told_apart():
    tri = Outline(((0, 0), (3, 0), (0, 1)))
    longer = Outline(((0, 0), (3, 0), (0, 1.1)))
    bent = Outline(((0, 0), (3, 0), (0, 1)), (0.2, 0, 0))
    keys = {same_shape([o]).key for o in (tri, longer, bent)}
    assert len(keys) == 3
    for o in (tri, longer, bent):
        a, b = same_shape([o]), same_shape([o.turned(33, (7, 1), mirror=True)])
        assert a.key == b.key
        assert a.hand * b.hand == -1
    square = Outline(((0, 0), (1, 0), (1, 1), (0, 1)))
    assert same_shape([square]).hand == 0
    assert same_shape([square], ["a"]).key != same_shape([square], ["b"]).key
