"""Step pictures and the assembly drawing: everything is there, apart, and in its own cloth."""

import itertools

import pytest
import shapely
from shapely.affinity import translate

from quiltgeom.library.blocks import load_blocks
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.render.preview import make_quilt
from quiltgeom.render.scene import Fill, Solid, flat_items
from quiltgeom.sewing.assembly import rows_of
from quiltgeom.sewing.explode import apart, exploded
from quiltgeom.sewing.sewing_sheet import sew_block, sew_quilt

BLOCKS = load_blocks()
KEYS = [
    "churn-dash",
    "bears-paw",
    "eight-pointed-star",
    "drunkards-path",
    "bright-hopes",
    "orange-peel",
    "circle-within-circle",
    "log-cabin",
]


def _fills(scene, colour):
    return [
        i
        for i in flat_items(scene.layers)
        if isinstance(i, Fill) and isinstance(i.paint, Solid) and i.paint.colour == colour
    ]


@pytest.mark.parametrize("key", KEYS)
def test_every_patch_of_a_step_is_drawn_in_its_fabric(key):
    block = BLOCKS.get(key)
    colours = {role: f"#0000{n:02x}" for n, role in enumerate(block.roles, 17)}
    fabrics = {role: Fabric(role, colour=c) for role, c in colours.items()}
    sewing = sew_block(block, 12)
    for step, picture in zip(sewing.steps, sewing.pictures(fabrics), strict=True):
        roles = [block.patches[f].role for f in step.node.faces]
        for role, colour in colours.items():
            assert len(_fills(picture.scene, colour)) == roles.count(role)
        assert picture.text == step.text
        x0, y0, x1, y1 = (
            pick(i.path.bounds[k] for i in flat_items(picture.scene.layers[:1]))
            for k, pick in enumerate((min, min, max, max))
        )
        if all(p.outline.is_straight for p in block.patches):  # arcs: bounds are those of circles
            assert min(x0, y0) > 0
            assert max(x1, y1) < picture.scene.width


@pytest.mark.parametrize("key", KEYS)
def test_parts_drawn_apart_do_not_touch(key):
    plan = sew_block(BLOCKS.get(key), 12).plan
    for node in (n for n in plan.root.walk() if n.parts):
        shapes = [
            translate(shapely.union_all([plan.outlines[f].polygon for f in part.faces]), *shift)
            for part, shift in zip(node.parts, apart(plan, node, 0.2), strict=True)
        ]
        for one, two in itertools.combinations(shapes, 2):
            assert one.intersection(two).area < 1e-6


@pytest.mark.parametrize(
    ("pattern", "rows"),
    [
        ("harbour-windows", 4),
        ("harbour-diamonds", 8),
        ("net-menders-chain", 7),
        ("lighthouse-keep", None),
    ],
)
def test_a_quilt_falls_into_rows_and_a_medallion_does_not(pattern, rows):
    design = Design(pattern)
    made = sew_quilt(make_quilt(design), design)
    found = rows_of(made.top.plan.root)
    assert (found and len([r for r in found.parts if len(r.faces) > 1])) == rows


@pytest.mark.parametrize("pattern", ["harbour-diamonds", "lighthouse-keep", "gull-cove"])
def test_the_assembly_shows_every_piece_apart(pattern):
    design = Design(pattern)
    made = sew_quilt(make_quilt(design), design)
    shifts = exploded(made.top.plan, made.top.plan.root, 2.0, rows_of(made.top.plan.root))
    shapes = [translate(p.outline.polygon, *shifts[f]) for f, p in enumerate(made.top.parts)]
    tree = shapely.STRtree(shapes)
    for k, shape in enumerate(shapes):
        assert [int(i) for i in tree.query(shape, predicate="intersects")] == [k]
    scene = made.assembly(7, 8.5)
    assert scene.width <= 7
    assert scene.height <= 8.5
    assert len([i for i in scene.layers[0].items if isinstance(i, Fill)]) == len(made.quilt)


def test_units_of_a_quilt_come_with_pictures_in_the_quilts_own_cloth():
    design = Design("gull-cove", {"accent": Fabric("a", colour="#123456")})
    made = sew_quilt(make_quilt(design), design)
    ((title, pictures),) = made.unit_pictures(side=1.5)
    assert title == "Ohio Star (make 12)"
    assert pictures[0].scene.width == 1.5
    assert _fills(pictures[-1].scene, "#123456")
    assert len(made.top_pictures()) == len(made.top.steps)
