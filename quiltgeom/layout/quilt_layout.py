"""A pattern and a size to a :class:`~quiltgeom.model.quilt.Quilt`."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TypedDict

from quiltgeom import checks
from quiltgeom.errors import QuiltValueError
from quiltgeom.layout.borders import add_border
from quiltgeom.layout.centre import centre_of, pieces_in
from quiltgeom.layout.lattice_field import lattice_size
from quiltgeom.layout.placing import check_pieces, explode
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Piece, Quilt
from quiltgeom.tolerance import RULER, SAME_CORNER, SAME_POINT, SAME_SHARE
from quiltgeom.units import CENTIMETRES, INCHES, RULERS, Ruler, Units

BLOCK_STEP = 0.25


def block_step(ruler: Ruler) -> float:
    """When a pattern is resized to fit its cloth, blocks change in quarter inches, or half
    centimetres."""
    return ruler.mark if ruler.metric else BLOCK_STEP


class LayoutSize(TypedDict, total=False):
    """How large a pattern is laid out: arguments of :func:`lay_out`, from :func:`fit_size`.

    Lengths in inches; what is not there is as the pattern usually has it.
    """

    block_size: float
    rows: int
    columns: int
    borders: Sequence[float]
    notes: Sequence[str]


def lay_out(
    pattern: Pattern,
    *,
    block_size: float | None = None,
    rows: int | None = None,
    columns: int | None = None,
    borders: Sequence[float] | None = None,
    sashing: float | None = None,
    name: str | None = None,
    notes: Sequence[str] = (),
    units: Units = "in",
) -> Quilt:
    """Lay out a pattern; what is not given is as the pattern usually has it.

    Args:
        block_size: finished block size, inches.
        rows, columns: number of blocks.
        borders: finished widths in inches, from the inside out, of the plain borders.
        sashing: finished sashing width in inches.
        units: in which it is written.

    Returns:
        The quilt; its pieces cover ``width`` x ``height`` exactly.

    Raises:
        QuiltValueError: a size that is not positive, or does not fit the pattern.

    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("harbour-windows"), rows=2, columns=2)
    >>> abs(round(sum(quilt.area_by_role.values()) - quilt.width * quilt.height, 6))
    0.0
    """
    size = pattern.block_size if block_size is None else block_size
    rows = pattern.rows if rows is None else rows
    columns = pattern.columns if columns is None else columns
    _check_counts(pattern, rows, columns, size)
    notes = (*notes, *_too_wide(pattern, size, borders, sashing, RULERS[units]))
    pattern = _with_widths(pattern, size, borders, sashing)
    field = centre_of(pattern, rows, columns, size)
    for number, border in enumerate(pattern.borders, 1):
        field = add_border(pattern, border, number, field, size)
    placed, width, height = field
    check_pieces(sum(len(p.block.patches) for p in placed), f"pattern {pattern.key}")
    laid, pieces = (width, height, size, rows, columns), explode(placed, pattern.roles)
    named, roles = name or pattern.name, pattern.roles
    return Quilt(named, pattern.key, *laid, pieces, roles, notes, units)


def _check_counts(pattern: Pattern, rows: int, columns: int, size: float) -> None:
    check = checks.Checks(f"pattern {pattern.key}")
    check.that(size, "block size", checks.number(0, 200, " in", above=True))
    check.that(rows, "rows", checks.whole(1, 1000))
    check.that(columns, "columns", checks.whole(1, 1000))
    check.done()
    most = max((len(t.block.patches) for t in pattern.tiles.values()), default=1)
    check_pieces(rows * columns * most, "rows x columns")


def _too_wide(
    pattern: Pattern,
    size: float,
    borders: Sequence[float] | None,
    sashing: float | None,
    ruler: Ruler,
) -> list[str]:
    """Remarks on widths of the pattern's own that were hardly meant."""
    wide = [(f"border {i}", b.width) for i, b in enumerate(pattern.borders, 1) if not b.unit]
    wide = wide if borders is None else []
    if pattern.sashing and sashing is None:
        wide.append(("sashing", pattern.sashing.width))
    return [
        f"{name} is {ruler.about(width * size)} wide, {width:g} blocks: "
        "the widths of a pattern are block units, not inches"
        for name, width in wide
        if width > 1
    ]


def _with_widths(
    pattern: Pattern, size: float, borders: Sequence[float] | None, sashing: float | None
) -> Pattern:
    """The pattern with border and sashing widths in inches put in place of its own."""
    if sashing is not None:
        if pattern.sashing is None:
            raise QuiltValueError(
                f"sashing: pattern {pattern.key} has none; accepted: leave it out"
            )
        pattern = replace(pattern, sashing=replace(pattern.sashing, width=sashing / size))
    if borders is None:
        return pattern
    plain = [i for i, b in enumerate(pattern.borders) if not b.unit]
    if len(borders) != len(plain) or any(b <= 0 for b in borders):
        raise QuiltValueError(
            f"borders: found {list(borders)}; accepted: {len(plain)} positive widths in inches, "
            f"one for each plain border of pattern {pattern.key}, from the inside out"
        )
    new = list(pattern.borders)
    for i, width in zip(plain, borders, strict=True):
        new[i] = replace(new[i], width=width / size)
    return replace(pattern, borders=tuple(new))


def finished_size(pattern: Pattern, rows: int, columns: int, size: float) -> tuple[float, float]:
    """Finished width and height (inches) without laying anything out.

    Sizes are linear in the block size, so one small computation serves every size.
    """
    sash = pattern.sashing
    gap, edges = (sash.width, 2 * sash.width if sash.outer else 0.0) if sash else (0.0, 0.0)
    if pattern.setting == "on-point":
        w, h = columns * 2**0.5, rows * 2**0.5
    elif pattern.setting == "columns":
        w = sum(pattern.stacks[c % len(pattern.stacks)].width for c in range(columns))
        w, h = w + gap * (columns - 1), rows - pattern.spacer
    elif pattern.setting == "medallion":
        w, h = float(columns), float(rows)
    elif pattern.setting == "lattice":
        w, h = lattice_size(pattern, rows, columns)
    else:
        w, h = columns + gap * (columns - 1) + edges, rows + gap * (rows - 1) + edges
    around = 2 * sum(b.width for b in pattern.borders)
    return (w + around) * size, (h + around) * size


def fit_size(
    pattern: Pattern,
    width: float,
    height: float,
    *,
    sizes: Sequence[float] = (),
    ruler: Ruler = INCHES,
) -> LayoutSize:
    """How to make ``pattern`` come out near a wanted finished size without distorting it.

    Tries every count of rows and columns with block sizes between 2/3 and 3/2 of the usual one for
    which :func:`ruler_sizes` hold, so that what is cut goes together; plain borders are whole
    eighths wide, and the outermost may take up part of the difference. Inches missed and inches by
    which the block leaves its usual size count in full, those of the border by half.

    Args:
        pattern: what to lay out.
        width, height: wanted finished size, inches.
        sizes: block sizes to choose from, inches, instead.
        ruler: in centimetres all that is chosen is whole half centimetres.

    Returns:
        Keyword arguments for :func:`lay_out` (``block_size``, ``rows``, ``columns``, perhaps
        ``borders``), with ``notes`` saying what was chosen where the size is not met exactly.

    >>> from quiltgeom.library.patterns import load_patterns
    >>> fit_size(load_patterns().get("harbour-windows"), 45, 57)
    {'block_size': 12.0, 'rows': 4, 'columns': 3}
    """
    check = checks.Checks(f"pattern {pattern.key}")
    check.that((width, height), "finished size", checks.lengths(400, 2))
    check.done()
    best: tuple[float, int, int, float, float] | None = None
    for size in sizes or ruler_sizes(pattern, ruler=ruler):
        widths = _plain_borders(pattern, size)
        rounding = 2 * (sum(_on_ruler(w, ruler.mark) for w in widths) - sum(widths))
        one = finished_size(pattern, 1, 1, size)
        two = finished_size(pattern, 2, 2, size)
        steps = (max(two[0] - one[0], SAME_POINT), max(two[1] - one[1], SAME_POINT))
        for columns in _near((width - one[0]) / steps[0] + 1):
            for rows in _near((height - one[1]) / steps[1] + 1):
                if not _possible(pattern, rows, columns):
                    continue
                w, h = (v + rounding for v in finished_size(pattern, rows, columns, size))
                extra = _take_up(pattern, size, (width - w, height - h), ruler.mark)
                miss = abs(w + 2 * extra - width) + abs(h + 2 * extra - height)
                cost = miss + abs(size - pattern.block_size) + abs(extra) / 2
                found = (round(cost, 6), rows, columns, size, extra)
                best = min(best, found) if best else found
    if best is None:
        raise QuiltValueError(
            f"finished size: pattern {pattern.key} has no size near {width:g} x {height:g} in"
        )
    return _chosen(pattern, best, (width, height), ruler)


def ruler_sizes(
    pattern: Pattern, least: float = 2 / 3, most: float = 1.5, ruler: Ruler = INCHES
) -> list[float]:
    """Block sizes at which patches, sashing and pieced borders measure what a ruler shows.

    Cut sizes are rounded up to eighths one by one: sides that fall between two marks would add up
    to blocks that do not fit their neighbours. Slanted sides, and sides that lie between marks at
    the usual size already (thirds of 10 inches, hexagons), do not count.

    Args:
        least, most: parts of the usual size.
        ruler: in centimetres, sizes at which all is whole half centimetres.

    Returns:
        Sizes in inches, ascending: whole eighths; the usual size is one of them (in centimetres
        only where there is no other).

    >>> from quiltgeom.library.patterns import load_patterns
    >>> ruler_sizes(load_patterns().get("net-menders-chain"), 0.95, 1.05)  # patches of a third
    [8.625, 9.0, 9.375]
    """
    usual, mark = pattern.block_size, ruler.mark
    # straight sides along the threads at the usual size, of which a ruler shows the length
    plain = tuple(f"border {i} " for i, b in enumerate(pattern.borders, 1) if not b.unit)
    every = straight_sides(p for p in lay_out(pattern) if not p.place.startswith(plain))
    sides = [side for side in every if is_on_ruler(side)]
    out = set() if ruler.metric else {usual}
    for k in range(math.ceil(usual * least / mark), math.floor(usual * most / mark) + 1):
        if all(is_on_ruler(side * k * mark / usual, mark) for side in sides):
            out.add(k * mark)
    return sorted(out or {usual})


def metric_size(pattern: Pattern) -> LayoutSize:
    """A pattern as it usually is, its block and plain borders in whole half centimetres.

    >>> from quiltgeom.library.patterns import load_patterns
    >>> size = metric_size(load_patterns().get("harbour-windows"))
    >>> round(size["block_size"] * 2.54, 6)
    30.0
    """
    ruler = CENTIMETRES
    size = min(ruler_sizes(pattern, ruler=ruler), key=lambda s: abs(s - pattern.block_size))
    made: LayoutSize = {"block_size": size}
    if widths := _plain_borders(pattern, size):
        made["borders"] = [_on_ruler(w, ruler.mark) or ruler.mark for w in widths]
    return made


def straight_sides(pieces: Iterable[Piece]) -> list[float]:
    """Lengths of the patches' sides that run level or upright in their blocks, as these are drawn.

    Args:
        pieces: placed patches; those with curves do not count.

    Returns:
        Different lengths, inches, ascending.

    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("net-menders-chain"))
    >>> straight_sides(p for p in quilt if not p.place.startswith("border"))
    [3.0, 9.0]
    """
    found: set[float] = set()
    for piece in pieces:
        if not piece.patch.outline.is_straight:
            continue
        points = piece.patch.outline.points
        for (x0, y0), (x1, y1) in zip(points, [*points[1:], *points[:1]], strict=True):
            dx, dy = abs(x1 - x0), abs(y1 - y0)
            if min(dx, dy) < SAME_POINT:
                found.add(round(max(dx, dy) * piece.placement.scale, 6))
    return sorted(found)


def is_on_ruler(length: float, step: float = RULER) -> bool:
    """Whether a length (inches) is one of whole eighths, or of other steps.

    >>> is_on_ruler(2.875), is_on_ruler(35 / 12)
    (True, False)
    """
    return abs(length - _on_ruler(length, step)) < 1e-5


def _on_ruler(length: float, step: float = RULER) -> float:
    return round(length / step) * step


def _plain_borders(pattern: Pattern, size: float) -> list[float]:
    """Widths of the borders that are one strip, inches, from the inside out."""
    return [b.width * size for b in pattern.borders if not b.unit]


def _near(count: float) -> list[int]:
    base = int(count)
    return sorted({max(1, base + d) for d in (-2, -1, 0, 1, 2)})


def _possible(pattern: Pattern, rows: int, columns: int) -> bool:
    """Whether columns and pieced borders divide evenly at these counts (any block size), and
    trimming leaves something."""
    if pattern.setting == "lattice" and min(lattice_size(pattern, rows, columns)) < SAME_CORNER:
        return False
    for stack in pattern.stacks:
        count = pieces_in(pattern, stack, rows)
        if round(count) < 1 or abs(count - round(count)) > SAME_SHARE:
            return False
    if pattern.stacks and (columns - pattern.columns) % len(pattern.stacks):
        return False  # else it would end in another column than it usually does
    around = 0.0
    plain = replace(pattern, borders=())
    for border in pattern.borders:
        if border.unit:
            for side in finished_size(plain, rows, columns, 1.0):
                count = (side + around) / border.unit_length
                if round(count) < 1 or abs(count - round(count)) > SAME_SHARE:
                    return False
        around += 2 * border.width
    return True


def _take_up(pattern: Pattern, size: float, over: tuple[float, float], mark: float) -> float:
    """By how much a plain outermost border grows (inches, whole marks): at most by half."""
    last = pattern.borders[-1] if pattern.borders else None
    if last is None or last.unit:
        return 0.0
    usual = last.width * size
    limit = usual / 2 // mark * mark
    return min(max(_on_ruler((over[0] + over[1]) / 4, mark), -limit), limit)


def _chosen(
    pattern: Pattern,
    best: tuple[float, int, int, float, float],
    wanted: tuple[float, float],
    ruler: Ruler,
) -> LayoutSize:
    (width, height), about = wanted, ruler.about
    _, rows, columns, size, extra = best
    result: LayoutSize = {"block_size": size, "rows": rows, "columns": columns}
    plain = _plain_borders(pattern, size)
    widths = [_on_ruler(v, ruler.mark) for v in plain]
    if widths:
        widths[-1] += extra
    if max((abs(a - b) for a, b in zip(plain, widths, strict=True)), default=0.0) > SAME_POINT:
        result["borders"] = widths
    wider = 2 * (sum(widths) - sum(plain))
    w, h = (v + wider for v in finished_size(pattern, rows, columns, size))
    if max(abs(w - width), abs(h - height)) > SAME_CORNER:
        result["notes"] = (
            f"asked for {ruler.text(width)} x {ruler.text(height)}; the nearest that keeps "
            f"the pattern's proportions is {about(w)} x {about(h)}",
        )
    return result
