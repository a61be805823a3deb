"""A block written by hand: cells, units, generators; and a broken file whose faults are named."""

import math
import tomllib
from pathlib import Path

import pytest
import shapely

from quiltgeom.documents.block_gallery.block_pages import drawing_sheet, fault_scene
from quiltgeom.errors import ContentError, QuiltKeyError
from quiltgeom.geometry.chains import covers_exactly
from quiltgeom.geometry.cover import cover_faults
from quiltgeom.library.block_file import block_from_data, check_block_file
from quiltgeom.library.blocks import BlockLibrary, load_blocks
from quiltgeom.library.generators import GENERATORS
from quiltgeom.library.notation.words import word_names
from quiltgeom.library.pattern_file import pattern_from_data
from quiltgeom.model.block import Block
from quiltgeom.render.scene import Fill

HEAD = 'name = "Mine"\nfamily = "mine"\nsource = "mine"\n'


def read(text: str) -> tuple[Block | None, list[str]]:
    block, findings, _ = block_from_data(tomllib.loads(HEAD + text), key="mine", where="mine.toml")
    return block, [str(f) for f in findings]


def outlines(block: Block) -> set[tuple[str, frozenset[tuple[float, ...]]]]:
    return {
        (p.role, frozenset(tuple(round(v, 9) for v in xy) for xy in p.outline.points))
        for p in block.patches
    }


def test_the_cells_in_the_guide_are_the_friendship_star() -> None:
    block, found = read('cells = "L SW L / SE D NW / L NE L"')
    assert found == []
    assert block is not None
    assert outlines(block) == outlines(load_blocks().get("friendship-star"))


def test_the_unit_in_the_guide_is_the_bears_paw() -> None:
    block, found = read("""
cells = "p L p> / L D L / p>>> L p>>"
columns = [3, 1, 3]
rows = [3, 1, 3]
[unit.p]
cells = "L SW SW / NE D:2x2 . / NE . ."
""")
    assert found == []
    assert block is not None
    assert outlines(block) == outlines(load_blocks().get("bears-paw"))


def test_colours_parts_turns_and_mirrors_of_a_word() -> None:
    block, found = read('cells = "NW=ML>@leaf/sky D@centre"')
    assert found == []
    assert block is not None
    first, second, third = block.patches
    assert (first.role, first.part, first.turn_deg) == ("second", "leaf", 90)
    assert set(first.outline.points) == {(0, 0), (1, 0), (1, 1)}  # NW turned is NE
    assert (second.role, second.part) == ("background", "sky")
    assert (third.role, third.part) == ("accent", "centre")
    mirrored, _ = read('cells = "NW~"')
    assert mirrored is not None
    assert set(mirrored.patches[0].outline.points) == {(0, 0), (1, 0), (1, 1)}


@pytest.mark.parametrize("word", [w for w in word_names() if " " not in w])
def test_every_word_covers_its_cell_whichever_way_it_is_turned(word: str) -> None:
    for way in ("", ">", "~", "~>>>"):
        block, found = read(f'cells = "{word}{way}"')
        assert found == []
        assert block is not None


@pytest.mark.parametrize("name", sorted(GENERATORS))
def test_every_generator_draws_with_its_defaults_and_refuses_unknown_parameters(name: str) -> None:
    block, found = read(f"[make.{name}]")
    assert found == []
    assert block is not None
    _, found = read(f"[make.{name}]\nsparkle = 3")
    assert len(found) == 1
    assert "sparkle" in found[0]


@pytest.mark.parametrize("rounds", [1, 2, 5])
def test_pineapple_patch_count(rounds: int) -> None:
    """Common practice, no source: 1 + 8 n + 4."""
    block, found = read(f"[make.pineapple]\nrounds = {rounds}")
    assert found == []
    assert block is not None
    assert len(block.patches) == 1 + 8 * rounds + 4


@pytest.mark.parametrize("rings", [1, 2, 3, 4])
def test_hexagon_rosette_count(rings: int) -> None:
    """Centred hexagonal numbers: 1 + 3 k (k + 1)."""
    block, found = read(f'[make.sixty]\nshape = "rosette"\nsize = {rings}')
    assert found == []
    assert block is not None
    assert len(block.patches) == 1 + 3 * rings * (rings + 1)


@pytest.mark.parametrize("n", [2, 5, 9])
def test_feathered_star_is_the_star_with_n_feathers_to_an_edge(n: int) -> None:
    """Plane geometry: feathers are half unit squares, 2 n to each of 16 edges; a tip is a diamond
    of side sqrt2 and angle 45 degrees; a notch's patch is 1 by sqrt2 at 45 degrees; the point
    inside is an eight-pointed star's of side n + 1."""
    block, found = read(f"[make.feathered-star]\nfeathers = {n}")
    assert found == []
    assert block is not None
    areas: dict[str, list[float]] = {}
    for p in block.patches:
        areas.setdefault(p.part, []).append(p.outline.area)
    assert len(areas["feather"]) == len(areas["between"]) == 16 * n
    assert areas["feather"] + areas["between"] == pytest.approx([0.5] * 32 * n)
    assert areas["tip"] == pytest.approx([2 * math.sqrt(0.5)] * 8)
    assert areas["notch"] == pytest.approx([1.0] * 16)
    assert areas["point"] == pytest.approx([(n + 1) ** 2 * math.sqrt(0.5)] * 8)
    assert block.width == pytest.approx((n + 1 + math.sqrt(2)) * (2 + math.sqrt(2)))


@pytest.mark.parametrize("teeth", ["false", "true"])
def test_wedding_ring_is_two_by_two_of_its_spacing(teeth: str) -> None:
    """Plane geometry: rings two apart, each through the crossings of its neighbours; two lenses of
    quarter arcs of radius sqrt2, and what is left of a square of side 2."""
    block, found = read(f"[make.wedding-ring]\nwedges = 5\nteeth = {teeth}")
    assert found == []
    assert block is not None
    assert block.boundary.area == pytest.approx(4, abs=1e-12)
    lens = 2 * (math.pi / 2 - 1)
    middle = next(p for p in block.patches if p.part == "centre")
    assert middle.outline.area == pytest.approx(4 - 2 * lens, abs=1e-12)
    per_arc = 5 if teeth == "false" else 5 + 6
    assert len(block.patches) == 1 + 2 * (1 + 2 * per_arc + 2)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('cells = "D Q!"', ["row 1, column 2", "'Q!'"]),
        ('cells = "D ZZ"', ["row 1, column 2", "'ZZ'"]),
        ('cells = "D D / D"', ["row 2", "1 words"]),
        ('cells = "D:2x1 D"', ["one word a cell"]),
        ('cells = "D:3x1 ."', ["span stays inside"]),
        ('cells = ". D"', ["dot is covered"]),
        ('cells = "NE=MQ"', ["colour letter", "'Q'"]),
        ('cells = "D L"\ncolumns = [1, 2, 3]', ["3 sizes"]),
        ('cells = "D"\ngrid = 4', ["4 x 4"]),
        ("[make.cabin]", ["'cabin'", "log-cabin"]),
        ('[make.log-cabin]\nrounds = "many"', ["rounds", "'many'"]),
        ("[make.fan]\nradius = 7", ["radius", "7"]),
        ('cells = "D"\ntile = [[1, 0], [2, 0]]', ["fill the plane", "span 0"]),
        (
            "grid = 2\noutline = [[0, 0], [1, 0], [1, 1], [0, 1]]\n"
            '[[patch]]\nrole = "accent"\nat = [[0, 0], [1, 0], [1, 1], [0, 1]]',
            ["fits the grid"],
        ),
    ],
)
def test_each_fault_is_named(text: str, words: list[str]) -> None:
    _, found = read(text)
    assert found
    assert all(any(w in f for f in found) for w in words), found


BROKEN = (
    HEAD
    + """
cells = "L SW L / SE - NW / L NE L"
colour = "blue"
[[patch]]
role = "focus"
at = [[1, 1], [2.4, 1], [2, 2]]
[[patch]]
at = [[2, 1], [2, 2]]
"""
)


def test_a_broken_file_is_told_every_fault_at_once(tmp_path: Path) -> None:
    path = tmp_path / "broken.toml"
    path.write_text(BROKEN, encoding="utf-8")
    block, findings, faults = check_block_file(path)
    text = "\n".join(map(str, findings))
    for part in ("'colour'", "patch 2", "role is a name", "no gap", "no overlap", "(1.25, 1.5)"):
        assert part in text
    assert sorted(f.kind for f in faults) == ["gap", "overlap"]
    assert block is not None
    scene = fault_scene(block, faults)
    assert scene.layers[-1].label == "faults"
    with pytest.raises(ContentError):
        len(BlockLibrary([tmp_path]))


def test_one_block_is_found_beside_a_broken_file(tmp_path: Path) -> None:
    (tmp_path / "broken.toml").write_text(BROKEN, encoding="utf-8")
    (tmp_path / "good.toml").write_text(HEAD + 'cells = "D"', encoding="utf-8")
    assert BlockLibrary([tmp_path]).get("good").name == "Mine"
    with pytest.raises(ContentError):
        BlockLibrary([tmp_path]).get("missing")


def test_unknown_name_gets_the_nearest() -> None:
    with pytest.raises(QuiltKeyError, match="churn-dash"):
        load_blocks().get("churn-dish")


@pytest.mark.parametrize("block", list(load_blocks()), ids=lambda b: b.key)
def test_quick_and_slow_audit_agree(block: Block) -> None:
    shapes = [p.outline for p in block.patches]
    assert covers_exactly(shapes, block.boundary)
    if len(shapes) > 1:  # a patch left out, or laid twice, must not pass
        assert not covers_exactly(shapes[1:], block.boundary)
        assert not covers_exactly([*shapes, shapes[0]], block.boundary)
    if len(shapes) < 30:
        moved = shapes[0].turned(0.01, (0.1, 0.2))
        assert not covers_exactly([moved, *shapes[1:]], block.boundary)
        assert cover_faults([moved, *shapes[1:]], block.boundary)


@pytest.mark.parametrize("block", list(load_blocks()), ids=lambda b: b.key)
def test_inverted_twice_is_the_block(block: Block) -> None:
    assert block.inverted().inverted() == block
    assert block.in_four_values().boundary == block.boundary


@pytest.mark.parametrize(
    "name", ["ohio-star", "tumbling-blocks", "wild-goose-chase-strip", "barn-raising"]
)
def test_drawing_sheet_stays_on_the_paper(name: str) -> None:
    page = drawing_sheet(load_blocks().get(name))
    for layer in page.layers:
        for item in layer.items:
            if item.path.segments:
                x0, y0, x1, y1 = item.path.bounds
                assert 0.3 < x0 <= x1 < page.width - 0.3
                assert 0.3 < y0 <= y1 < page.height - 0.3


@pytest.mark.parametrize("name", ["bears-paw", "storm-at-sea", "pinwheel", "log-cabin"])
def test_a_block_taken_apart_keeps_its_patches_whole_and_apart(name: str) -> None:
    block = load_blocks().get(name)
    page = drawing_sheet(block)
    layer = next(x for x in page.layers if x.label == "apart")
    fills = [i.path for i in layer.items if isinstance(i, Fill)]
    boxes = [p.bounds for p in fills]
    scale = {
        round((b[2] - b[0]) / (o.bounds[2] - o.bounds[0]), 6)
        for b, o in zip(boxes, (p.outline for p in block.patches), strict=True)
    }
    assert len(scale) == 1
    shapes = [shapely.Polygon([v for _, v in p.segments if v]) for p in fills]
    union = shapely.union_all(shapes)
    assert union.area == pytest.approx(sum(s.area for s in shapes))  # nothing lies over anything
    assert len(shapely.get_parts(union)) == len(shapes)  # and nothing touches


@pytest.mark.parametrize("role", ["", " "])
def test_a_role_without_a_name_is_a_finding_of_its_file(role: str) -> None:
    _, found = read(f'cells = "A D"\nletters = {{ A = "{role}" }}')
    assert found[0].startswith("mine.toml: letters gives roles")
    for tile in (f'plain = "{role}"', f'use = "churn-dash"\nroles = {{ accent = "{role}" }}'):
        text = f'name = "M"\nsummary = "m"\ncells = ["A"]\n[roles.focus]\n[tiles.A]\n{tile}\n'
        pattern, findings = pattern_from_data(
            tomllib.loads(text), load_blocks(), key="m", where="m.toml"
        )
        assert pattern is None
        assert "m.toml: tiles.A: role: found" in str(findings[0])
