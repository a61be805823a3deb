"""Which method cuts which patch: the whole quilt to rectangles of cloth, by role."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass

from quiltgeom.cutting.methods.cut_shapes import CutShape, in_block, on_cloth, triangle_kind
from quiltgeom.cutting.methods.paired import Made, UnitShapes, eights, flips, fours, geese, pairs
from quiltgeom.cutting.methods.pieced import Kind, Pieced, pieced_units
from quiltgeom.cutting.methods.pieces import cut_units
from quiltgeom.cutting.methods.stripsets import StripSet, slices, strip_sets
from quiltgeom.cutting.methods.unit import CutUnit
from quiltgeom.cutting.options import CutOptions
from quiltgeom.errors import QuiltKeyError, QuiltValueError
from quiltgeom.model.fabric import Direction
from quiltgeom.model.quilt import Quilt

_SQUARE = "half-square triangles of two fabrics whose prints may lie square to the block"
_PIECED: dict[str, tuple[Kind, Callable[..., Made], str]] = {
    "pairs": ("half-square", pairs, _SQUARE),
    "fours": ("half-square", fours, "half-square triangles of two fabrics without direction"),
    "eights": ("half-square", eights, _SQUARE),
    "geese": ("goose", geese, "flying geese whose prints may lie square to the block"),
    "flip": (
        "corners",
        flips,
        "rectangles with corners at 45 degrees, their prints square to the block",
    ),
}
"""By method: the units that it makes, how, and what it needs, in words."""

_STRIPS = "rows or columns of rectangles right across a block, their prints along them"


@dataclass(frozen=True)
class Chosen:
    """What to cut from each fabric.

    Attributes:
        units: rectangles by role, tallest first.
        strips: by role, strips of sashing and borders as they lie on the cloth, which may be cut
            in several ways (:mod:`~quiltgeom.cutting.methods.joins`).
        sets: strip sets to sew from some of the rectangles.
    """

    units: dict[str, list[CutUnit]]
    strips: dict[str, list[CutShape]]
    sets: tuple[StripSet, ...] = ()


def choose_units(
    quilt: Quilt,
    directions: Mapping[str, Direction],
    widths: Mapping[str, float],
    options: CutOptions | None = None,
    *,
    skip: Collection[int] = (),
    short: float = 0.0,
) -> Chosen:
    """Every patch of a quilt to a rectangle of cloth, by the methods that the maker chose.

    By default: roles that the pattern cuts from strips come from strip sets; flying geese and
    other patches with corners that can be folded, in a print that may not be turned freely, are
    made by stitch and flip where that takes less cloth; all else is cut patch by patch (see
    :func:`~quiltgeom.cutting.methods.pieces.cut_units`).

    Args:
        quilt: the laid-out quilt.
        directions: of the print, by role; roles left out have none.
        widths: usable width of the cloth by role, inches.
        options: the maker's choices.
        skip: indices of pieces that are cut otherwise, such as those centred on a motif.
        short: see :func:`~quiltgeom.cutting.methods.pieces.cut_units`.

    Raises:
        QuiltKeyError: a method or lengthwise border for a role that the quilt does not have.
        QuiltValueError: a method for a role with nothing to be cut that way.
    """
    options = options or CutOptions()
    roles = [r for r, n in quilt.count_by_role.items() if n]
    ways = {r: directions.get(r, "non-directional") for r in roles}
    for role in [*options.methods, *options.lengthwise]:
        if role not in roles:
            raise QuiltKeyError(f"method: found role {role!r}; accepted: {', '.join(roles)}")
    made, done = _together(quilt, ways, options, skip)
    sets: list[StripSet] = []
    methods = {r: options.method(r) for r in roles}
    sliced = {r for r in roles if methods[r] == "auto" and quilt.roles[r].cut == "strip"}
    strip_roles = [r for r in roles if methods[r] == "strips" or r in sliced]
    if strip_roles:
        left = {p.index for p in quilt if p.index not in done}
        rows = [s for s in slices(quilt.pieces, ways, strip_roles) if left.issuperset(s.pieces)]
        sets, strips, used = strip_sets(rows, widths, options)
        made, done = made + strips, done | used
        if not used:
            chosen_for = [r for r in strip_roles if r not in sliced]
            _refuse("strips", chosen_for, quilt, _STRIPS)
    units: dict[str, list[CutUnit]] = {}
    strips_of: dict[str, list[CutShape]] = {}
    for role in roles:
        rest = [p for p in quilt if p.role == role and p.index not in done]
        strips_of[role] = [on_cloth(p) for p in rest if p.is_strip]
        patches = (p for p in rest if not p.is_strip)
        own = cut_units(patches, ways[role], widths[role], options=options, short=short)
        units[role] = tallest_first([*own, *(u for r, u in made if r == role)])
    return Chosen(units, strips_of, tuple(sets))


def tallest_first(units: Iterable[CutUnit]) -> list[CutUnit]:
    """Rectangles in the order of their sizes."""
    return sorted(units, key=lambda u: (-u.height, -u.width, u.method, u.note, u.members[0].piece))


def _together(
    quilt: Quilt, ways: Mapping[str, Direction], options: CutOptions, skip: Collection[int]
) -> tuple[Made, set[int]]:
    """Units of two fabrics by the methods that are asked for, and by default."""
    made: Made = []
    done: set[int] = set(skip)
    role = {p.index: p.role for p in quilt}
    wanted = [m for m in _PIECED if m in options.methods.values()]
    directional = any(w in ("one-way", "two-way") for w in ways.values())
    units = pieced_units(quilt.pieces) if wanted or directional else []
    units.sort(key=lambda u: (-quilt.pieces[u.pieces[0]].area, u.pieces))
    for method in [*wanted, "auto"]:
        kind, make, needs = _PIECED["flip" if method == "auto" else method]
        mine: list[UnitShapes] = []
        for unit in units:
            if unit.kind != kind or done.intersection(unit.pieces):
                continue
            roles = {role[k] for k in unit.pieces}
            if _applies(method, unit, quilt, roles, ways, options):
                shapes = [in_block(quilt.pieces[k], ways[role[k]]) for k in unit.pieces]
                if all(shapes):
                    mine.append(UnitShapes(tuple(s for s in shapes if s)))
                    done.update(unit.pieces)
        if method != "auto" and not mine:
            chosen_for = [r for r, m in options.methods.items() if m == method]
            _refuse(method, chosen_for, quilt, needs)
        if method == "auto":
            folded = _sparing(mine, quilt, ways, options)
            done -= {s.piece for u in mine for s in u.shapes}
            done |= {s.piece for u in folded for s in u.shapes}
            mine = folded
        made += make(mine, ways, options)
    return made, done


def _sparing(
    found: list[UnitShapes], quilt: Quilt, ways: Mapping[str, Direction], options: CutOptions
) -> list[UnitShapes]:
    """Of units that could be folded, those that then take less cloth than patch by patch."""
    groups: dict[tuple[object, ...], list[UnitShapes]] = {}
    for u in found:
        bounds = u.shapes[0].outline.bounds
        size = (round(bounds[2] - bounds[0], 4), round(bounds[3] - bounds[1], 4))
        groups.setdefault((size, *sorted({s.role for s in u.shapes})), []).append(u)
    out = []
    for group in groups.values():
        made = flips(group, ways, options)
        folded = sum(u.width * u.height for _, u in made)
        alone = 0
        for role in sorted({s.role for u in group for s in u.shapes}):
            mine = [quilt.pieces[s.piece] for u in group for s in u.shapes if s.role == role]
            units = cut_units(mine, ways[role], 1e4, options=options)
            alone += sum(u.width * u.height for u in units)
        out += group if folded < alone else []
    return out


def _applies(
    method: str,
    unit: Pieced,
    quilt: Quilt,
    roles: set[str],
    ways: Mapping[str, Direction],
    options: CutOptions,
) -> bool:
    if method == "auto":  # folded corners keep prints upright
        base = quilt.pieces[unit.pieces[0]]
        upright = ways[base.role] in ("one-way", "two-way")
        if not upright or any(options.method(r) != "auto" for r in roles):
            return False
        return triangle_kind(base.patch.outline)[0] != "half"
    if not any(options.method(r) == method for r in roles):
        return False
    if method in ("pairs", "fours", "eights") and len(roles) != 2:
        return False
    if method == "fours":
        return all(ways[r] == "non-directional" for r in roles)
    if method == "geese":
        skies = [quilt.pieces[k] for k in unit.pieces[1:]]
        lies = {round(s.lie_deg, 6) for s in skies if ways[s.role] != "non-directional"}
        return len({s.role for s in skies}) == 1 and len(lies) < 2 and len(roles) == 2
    return True


def _refuse(method: str, chosen_for: list[str], quilt: Quilt, needs: str) -> None:
    if chosen_for:
        raise QuiltValueError(
            f"method of {chosen_for[0]}: found {method!r}, but {quilt.name} has nothing in "
            f"{chosen_for[0]} to be cut that way; accepted where there are {needs}"
        )
