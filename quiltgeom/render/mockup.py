"""The mockup: a quilt and its fabrics as a scene."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from quiltgeom.cutting.as_cut import picture_places
from quiltgeom.errors import QuiltKeyError
from quiltgeom.model.block import Block
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.quilt import Piece, Quilt
from quiltgeom.render.lay import ClothPlace, lay_pieces, outside_words
from quiltgeom.render.scene import (
    ClothPaint,
    Fill,
    Layer,
    Path,
    Scene,
    Solid,
    Stroke,
    cover_layer,
    grey_colour,
    path_of,
)

Style = Literal["cloth", "flat", "values", "lines"]
"""``cloth``: real fabric; ``flat``: each fabric its mean colour; ``values``: greys of equal
lightness; ``lines``: outlines to colour in."""

ROLE_COLOURS = {
    "background": "#f1e9da",
    "accent": "#2f5d73",
    "focus": "#c9702f",
    "second": "#87a9a3",
    "third": "#d9b45b",
}
_OTHERS = ("#9c5b6b", "#5f6f3a", "#7c6a9c", "#b98b6e", "#4a4a4a")
SEAM_WIDTH = 0.04


def role_colour(role: str, order: Sequence[str] = ()) -> str:
    """A plain colour for a role that has no fabric."""
    if role in ROLE_COLOURS:
        return ROLE_COLOURS[role]
    others = [r for r in order if r not in ROLE_COLOURS]
    return _OTHERS[others.index(role) % len(_OTHERS) if role in others else 0]


@dataclass(frozen=True)
class Mockup:
    """A scene together with where each piece lies on its cloth.

    Attributes:
        places: by piece index; pieces in a plain colour have none.
        notes: what the reader of the picture should know.
    """

    scene: Scene
    places: dict[int, ClothPlace]
    notes: tuple[str, ...] = ()


def mockup(
    quilt: Quilt,
    fabrics: Mapping[str, Fabric],
    *,
    style: Style = "cloth",
    seams: bool = False,
    seed: int = 0,
    fussy: Sequence[str] = (),
    places: Mapping[int, tuple[float, float]] | None = None,
    offsets: Mapping[int, tuple[float, float]] | None = None,
) -> Mockup:
    """Lay real cloth into every piece of a quilt, at true scale and the right way up.

    Args:
        fabrics: by role; a role without one is drawn in a plain colour.
        seed: which places of the cloth the pieces show.
        fussy: roles whose pieces are centred on the fabric's motif.
        places: from a cutting plan: by piece index, the point of the cloth (print upright) at
            the middle of the piece's bounding box.
        offsets: by piece index, how far its cloth is moved in it, inches right and down.

    Raises:
        QuiltKeyError: a fabric is given, or a motif centred, for a role that the pattern does not
            have.
    """
    for what, roles in (("fabric", fabrics), ("fussy", fussy)):
        for role in sorted(set(roles) - set(quilt.roles)):
            raise QuiltKeyError(
                f"{what}: found role {role!r}, which pattern {quilt.pattern} does not have; "
                f"accepted: {', '.join(quilt.roles)}"
            )
    if style == "lines":
        strokes = tuple(Stroke(piece_path(p), 0.06) for p in quilt)
        layers, title = [Layer(strokes, label="lines")], f"{quilt.name}, line drawing"
        return Mockup(Scene(quilt.width, quilt.height, tuple(layers), title=title), {})
    cloth: dict[int, ClothPlace] = {}
    fills: list[Fill | None] = [None] * len(quilt)
    for stream, role in enumerate(quilt.roles):
        pieces = [p for p in quilt.pieces if p.role == role]
        fabric = fabrics.get(role)
        if fabric is None or fabric.image is None or style == "flat":
            paint = Solid(_plain(role, fabric, quilt, style))
            for p in pieces:
                fills[p.index] = Fill(piece_path(p), paint)
            continue
        chosen = picture_places(pieces, places, fabric) if places else None
        laid = lay_pieces(
            pieces,
            fabric,
            seed=seed,
            stream=stream,
            fussy=role in fussy,
            places=chosen,
            offsets=offsets,
        )
        for p, place in zip(pieces, laid, strict=True):
            cloth[p.index] = place
            fills[p.index] = Fill(
                piece_path(p), ClothPaint(place.cloth, place.matrix, style == "values")
            )
    layers = [cover_layer([f for f in fills if f], quilt.width, quilt.height, "quilt")]
    if seams:
        strokes = tuple(Stroke(piece_path(p), SEAM_WIDTH, "#1c1410", 0.35) for p in quilt)
        layers.append(Layer(strokes, label="seams"))
    scene = Scene(
        quilt.width,
        quilt.height,
        tuple(layers),
        title=quilt.name,
        description=_describe(quilt, fabrics),
    )
    return Mockup(scene, cloth, _continuation_notes(quilt, fabrics, cloth))


def _plain(role: str, fabric: Fabric | None, quilt: Quilt, style: Style) -> str:
    if fabric is None:
        colour = role_colour(role, tuple(quilt.roles))
    elif fabric.colour:
        colour = fabric.colour
    else:
        colour = mean_colour(fabric)
    return grey_colour(colour) if style == "values" else colour


def mean_colour(fabric: Fabric) -> str:
    """Mean colour of a swatch, ``#rrggbb``."""
    from PIL import ImageStat

    from quiltgeom.fabric.image import load_image

    if fabric.image is None:
        return fabric.colour or "#808080"
    mean = ImageStat.Stat(load_image(fabric.image, min_size=(200, 200))).mean
    return "#" + bytes(int(v + 0.5) for v in mean).hex()


def piece_path(piece: Piece) -> Path:
    """Path of a piece; straight pieces straight from their transformed corners."""
    outline = piece.patch.outline
    if not outline.is_straight:
        return path_of(piece.outline)
    first, *rest = piece.placement.points(outline.points)
    return Path((("M", first), *[("L", p) for p in rest], ("Z", ())))


def _describe(quilt: Quilt, fabrics: Mapping[str, Fabric]) -> str:
    about = quilt.ruler.about
    size = f"{about(quilt.width)} by {about(quilt.height)}"
    used = "; ".join(f"{r}: {fabrics[r].name if r in fabrics else 'plain'}" for r in quilt.roles)
    return f"Patchwork quilt, {size} finished, {len(quilt)} patches. {used}."


def _continuation_notes(
    quilt: Quilt, fabrics: Mapping[str, Fabric], cloth: Mapping[int, ClothPlace]
) -> tuple[str, ...]:
    notes = []
    for role in quilt.roles:
        over = [i for i, c in cloth.items() if c.beyond and quilt.pieces[i].role == role]
        if not over:
            continue
        kind = cloth[over[0]].cloth.kind
        how = (
            "the print goes on by its repeat"
            if kind == "repeat"
            else "we guessed the cloth: it will look different"
        )
        larger = all(cloth[i].larger(quilt.pieces[i].polygon) for i in over)
        words = outside_words(len(over), quilt.count_by_role[role], larger)
        notes.append(f"{role} ({fabrics[role].name}): {words}; there {how}")
    return tuple(notes)


def block_scene(block: Block, size: float = 3.0) -> Scene:
    """A block in plain role colours, ``size`` inches wide."""
    k = size / block.width
    fills = [
        Fill(path_of(p.outline).moved(0, 0, k), Solid(role_colour(p.role, block.roles)))
        for p in block.patches
    ]
    frame = path_of(block.boundary).moved(0, 0, k)
    thin = 0.012 * size / 3 * min(1.0, (50 / len(block.patches)) ** 0.5)  # many: finer lines
    lines = tuple(Stroke(path_of(p.outline).moved(0, 0, k), thin) for p in block.patches)
    layers = (Layer(tuple(fills), "cover", frame, "block"), Layer(lines, label="seams"))
    return Scene(size, block.height * k, layers, title=block.name)
