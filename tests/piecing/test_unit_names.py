"""Units are called what quilters call them, however they lie."""

import pytest

from quiltgeom.geometry.outline import Outline, rectangle
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.patterns import load_patterns
from quiltgeom.piecing.measures import unit_name
from quiltgeom.piecing.quilt_plan import plan_quilt


def triangles(*corners):
    return [Outline(c) for c in corners]


GOOSE = triangles(((0, 2), (2, 0), (4, 2)), ((0, 0), (2, 0), (0, 2)), ((2, 0), (4, 0), (4, 2)))
HOURGLASS = triangles(
    ((0, 0), (2, 0), (1, 1)),
    ((2, 0), (2, 2), (1, 1)),
    ((2, 2), (0, 2), (1, 1)),
    ((0, 2), (0, 0), (1, 1)),
)
LONG = triangles(((0, 0), (3, 0), (0, 1)), ((3, 0), (3, 1), (0, 1)))
"""A rectangle halved on its diagonal: no half-square triangles."""


@pytest.mark.parametrize("turn", [0, 45, 90, 210])
def test_names_do_not_depend_on_how_a_unit_lies(turn):
    named = {
        "half-square triangles": triangles(((0, 0), (2, 0), (0, 2)), ((2, 0), (2, 2), (0, 2))),
        "flying geese": GOOSE,
        "quarter-square triangles": HOURGLASS,
        "four-patch": [rectangle(x, y, 1, 1) for x in (0, 1) for y in (0, 1)],
        "nine-patch": [rectangle(x, y, 2, 2) for x in (0, 2, 4) for y in (0, 2, 4)],
    }
    for name, outlines in named.items():
        assert unit_name([o.turned(turn, (3, 1)) for o in outlines]) == name


def test_what_only_looks_like_them_has_no_name():
    assert unit_name(LONG) == ""
    assert unit_name(GOOSE[:2]) == ""
    assert unit_name([rectangle(x, 0, 1, 1) for x in range(4)]) == ""
    assert (
        unit_name(
            [
                rectangle(0, 0, 1, 1),
                rectangle(1, 0, 2, 1),
                rectangle(0, 1, 1, 2),
                rectangle(1, 1, 2, 2),
            ]
        )
        == ""
    )
    assert unit_name([*HOURGLASS[:2], *LONG]) == ""


def test_a_block_of_the_library_has_its_own_name():
    """The library's own blocks are drawn by other hands than these names."""
    named = {
        "half-square-triangle": "half-square triangles",
        "nine-patch": "nine-patch",
        "four-patch": "four-patch",
    }
    for key, name in named.items():
        assert unit_name([p.outline for p in load_blocks().get(key).patches]) == name


def test_rows_are_called_by_their_places():
    """Every row is made in one step, and joined in order."""
    made = plan_quilt(lay_out(load_patterns().get("rope-walk")))
    names = [f"row {n}" for n in range(1, len(made.rows) + 1)]
    assert list(made.row_names().values()) == names
    joined = next(s for s in made.steps if names[0] in s.said)
    assert [said for said in joined.said if said.startswith("row")] == names
    assert joined.text.startswith("Sew row 1 + row 2 + row 3")
    made_rows = [s for s in made.steps if s.name.startswith("row")]
    assert sum(s.count + s.mirrored for s in made_rows) == len(names)
    assert all("make" not in s.text for s in made_rows if not s.mirrored)


def test_columns_are_not_called_rows():
    made = plan_quilt(lay_out(load_patterns().get("tide-tables")))
    assert set(made.row_names().values()) == {f"column {n}" for n in range(1, 6)}
