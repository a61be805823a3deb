"""Facts and search against a table of independent drawings and against plain reasoning."""

import pytest

from quiltgeom.library.block_facts import block_facts, search_blocks
from quiltgeom.library.blocks import load_blocks

# Computed elsewhere, from independent drawings of the same blocks in rows of words:
# key, patches, share of the dark colour, symmetry with colours.
TABLE = """
four-patch 4 1/2 D2
double-four-patch 10 1/4 D2
pinwheel 8 1/2 C4
broken-dishes 8 1/2 D2
hourglass 4 1/2 D2
big-dipper 16 1/2 C4
dutchmans-puzzle 24 1/2 C4
flock-of-geese 20 1/2 D1
evening-star 17 1/2 D4
martha-washington-star 24 3/8 C4
bow-tie 6 9/16 D2
crosses-and-losses 16 3/8 D1
economy 9 3/4 D4
square-in-a-square 5 1/2 D4
old-maids-puzzle 16 3/8 D1
checkerboard 16 1/2 D2
sawtooth-patchwork 32 1/2 D1
nine-patch 9 5/9 D4
double-nine-patch 49 25/81 D4
puss-in-the-corner 9 1/2 D4
shoo-fly 13 1/3 D4
churn-dash 17 4/9 D4
friendship-star 13 1/3 C4
ohio-star 21 1/3 D4
aunt-elizas-star 25 5/18 D4
combination-star 37 5/9 D4
swamp-angel 25 5/9 D4
maple-leaf 15 29/48 D1
jacobs-ladder 28 1/2 D2
split-nine-patch 12 1/2 D1
contrary-wife 13 7/9 D1
birds-in-the-air 10 1/3 D1
calico-puzzle 13 2/3 D4
prairie-queen 25 5/9 C4
rolling-stone 29 4/9 D4
fifty-four-forty-or-fight 32 1/2 D2
single-irish-chain 20 5/18 D2
greek-square 17 4/9 D4
double-wrench 17 12/25 D4
sisters-choice 33 9/25 D4
double-irish-chain 25 9/25 D4
double-irish-chain-plain-block 7 0 D4
lady-of-the-lake 34 1/2 D1
plain-cross 9 9/25 D4
goose-in-the-pond 77 98/225 D4
cake-stand 22 17/50 D1
bears-paw 45 25/49 D4
triple-irish-chain 49 13/49 D4
storm-at-sea 28 23/36 D1
rail-fence 12 2/3 C4
basket-weave 27 2/3 D2
five-stripes 5 2/5 D2
wild-goose-chase-strip 12 1/2 D1
courthouse-steps 9 17/25 D2
log-cabin 9 12/25 C1
half-log-cabin 7 5/16 D1
bright-hopes 5 4/9 C1
eight-pointed-star 16 0.2426 C4
blazing-star 40 0.2426 D4
star-of-bethlehem 136 0.0607 D4
kaleidoscope 12 0.4142 D4
rolling-star 28 0.2426 D4
octagon 5 0.8284 D4
snails-trail 20 1/2 C2
attic-windows 3 51/200 C1
spools 5 3/8 D2
tumbling-blocks 3 1/3 n/a
"""
# The table judges colours alone; here the seams between patches of one colour count as well.
SEAMS_COUNT = {"double-irish-chain-plain-block": "D2", "half-log-cabin": "C1"}
# The table's logs are all equally long in a round, which takes a partial seam to sew; here each log
# covers the end of the one before it, as it is sewn, and the dark ones, sewn last, are longer.
SEWN_IN_TURN = {"log-cabin": "14/25"}
ROWS = [line.split() for line in TABLE.strip().splitlines()]


@pytest.mark.parametrize(("key", "patches", "dark", "symmetry"), ROWS, ids=lambda v: str(v))
def test_agrees_with_the_independent_drawing(
    key: str, patches: str, dark: str, symmetry: str
) -> None:
    block = load_blocks().get(key)
    top, _, bottom = SEWN_IN_TURN.get(key, dark).partition("/")
    share = float(top) / float(bottom or 1)
    assert len(block.patches) == int(patches)
    assert block.area_share.get("accent", 0) == pytest.approx(share, abs=6e-5)
    if symmetry != "n/a":
        assert block_facts(block).symmetry == SEAMS_COUNT.get(key, symmetry)


def test_kansas_troubles_is_four_quarters_of_the_independent_drawing() -> None:
    """The table's drawing is one quarter: 13 patches, 5/16 dark."""
    block = load_blocks().get("Kansas Troubles")
    assert len(block.patches) == 4 * 13
    assert block.area_share["accent"] == pytest.approx(5 / 16)


def test_nine_patch_without_set_in_seams_and_fewer_than_20_patches() -> None:
    found = {
        b.key
        for b in search_blocks(load_blocks(), family="nine-patch", set_in=False, patches=(1, 19))
    }
    assert {"nine-patch", "shoo-fly", "churn-dash", "friendship-star", "maple-leaf"} <= found
    assert not found & {"ohio-star", "jacobs-ladder", "attic-windows"}  # 21 and 28 patches; family
    assert all(len(load_blocks().get(k).patches) < 20 for k in found)


def test_set_in_seams_are_found_where_the_trade_finds_them() -> None:
    """Common practice, no source: which blocks need set-in seams as drawn."""
    library = load_blocks()
    found = {b.key for b in search_blocks(library, set_in=True)}
    assert {
        "eight-pointed-star",
        "blazing-star",
        "attic-windows",
        "spools",
        "tumbling-blocks",
        "flower-garden",
        "six-pointed-star",
        "rolling-star",
    } <= found
    straight = {key for key, *_ in ROWS} - {
        "eight-pointed-star",
        "blazing-star",
        "star-of-bethlehem",
        "rolling-star",
        "attic-windows",
        "spools",
        "tumbling-blocks",
    }
    assert not found & straight


def test_centre_square_of_at_least_a_third() -> None:
    found = {b.key for b in search_blocks(load_blocks(), centre_at_least=1 / 3)}
    assert {"framed-square", "square-in-a-square"} <= found
    assert not found & {"evening-star", "nine-patch", "churn-dash", "snowball-straight"}


def test_name_contains_star() -> None:
    found = {b.key for b in search_blocks(load_blocks(), text="star")}
    assert {"ohio-star", "evening-star", "friendship-star", "eight-pointed-star"} <= found
    assert "nine-patch" not in found


@pytest.mark.parametrize(
    ("name", "keys"),
    [
        ("Monkey Wrench", {"churn-dash", "snails-trail"}),
        ("Snowball", {"snowball-straight", "snowball-curved", "octagon"}),
        ("Windmill", {"pinwheel", "windmill-split"}),
        ("Texas Star", {"ohio-star", "texas-star-six"}),
    ],
)
def test_a_name_may_mean_several_drawings(name: str, keys: set[str]) -> None:
    assert {b.key for b in load_blocks().find(name)} == keys


def test_there_are_at_least_200_blocks_with_names_of_their_own() -> None:
    names = {(b.name, b.key) for b in load_blocks()}
    assert len(names) >= 200


def test_smallest_edge_and_angle() -> None:
    """Plane geometry: the points of Ohio Star are right isosceles with legs of half a diagonal."""
    facts = block_facts(load_blocks().get("Ohio Star"))
    assert facts.smallest_edge == pytest.approx(0.5**0.5)
    assert facts.smallest_angle == pytest.approx(45)
    assert facts.meeting_points == 8  # four corners of the centre, four middles of hourglasses
    assert facts.shapes == (16, 5)


def test_a_disc_has_no_edge_of_no_length() -> None:
    """By its drawing: a disc of radius 2 in a square of side 6; four seams of 1 lead up to it."""
    facts = block_facts(load_blocks().get("porthole"))
    assert (facts.smallest_edge, facts.smallest_angle) == (1.0, 90.0)
