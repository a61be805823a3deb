"""Draws scene items onto a cairo context; shared by the PNG and PDF back ends."""

from typing import Any

from quiltgeom.errors import QuiltError
from quiltgeom.fabric.cloth import Cloth
from quiltgeom.geometry.placement import Matrix
from quiltgeom.render.scene import ClothPaint, Path, Solid, Stroke, TileKey

Patterns = dict[TileKey, tuple[Any, float, float]]
"""By cloth: a cairo pattern, and its pixels per inch across and down."""


def cairo() -> Any:
    """The cairocffi module.

    Raises:
        QuiltError: the cairo library itself is missing from the machine.
    """
    try:
        import cairocffi
    except OSError as e:
        raise QuiltError(
            "drawing needs the cairo library, which is not on this machine: install it with "
            "'apt-get install libcairo2' (Debian, Ubuntu), 'dnf install cairo' (Fedora) or "
            "'brew install cairo' (macOS)"
        ) from e
    return cairocffi


def draw_path(context: Any, path: Path) -> None:
    """Put a path onto the context."""
    for op, v in path.segments:
        if op == "L":
            context.line_to(*v)
        elif op == "M":
            context.move_to(*v)
        elif op == "Z":
            context.close_path()
        elif op == "C":
            context.curve_to(*v)
        else:
            cx, cy, r, start, sweep = v[:5]
            if sweep > 0:
                context.arc(cx, cy, r, start, start + sweep)
            else:
                context.arc_negative(cx, cy, r, start, start + sweep)


def set_paint(context: Any, paint: Solid | ClothPaint, patterns: Patterns) -> None:
    """Make ``paint`` the context's source."""
    if isinstance(paint, Solid):
        r, g, b = (v / 255 for v in bytes.fromhex(paint.colour[1:]))
        context.set_source_rgba(r, g, b, paint.opacity)
        return
    pattern, px_x, px_y = patterns[(paint.cloth, paint.grey)]
    pattern.set_matrix(_cloth_matrix(paint.matrix, px_x, px_y))
    context.set_source(pattern)


def cloth_pattern(surface: Any, size: tuple[int, int], cloth: Cloth) -> tuple[Any, float, float]:
    """A pattern that goes on as the cloth does, and its pixels per inch across and down."""
    lib = cairo()
    pattern = lib.SurfacePattern(surface)
    pattern.set_extend(lib.EXTEND_REFLECT if cloth.kind == "mirror" else lib.EXTEND_REPEAT)
    pattern.set_filter(lib.FILTER_GOOD)
    width, height = cloth.image_size
    return pattern, size[0] / width, size[1] / height


def _cloth_matrix(matrix: Matrix, px_x: float, px_y: float) -> Any:
    """Cairo wants the way from the scene to the tile's pixels: the inverse."""
    a, b, c, d, e, f = matrix
    forward = cairo().Matrix(a / px_x, b / px_x, c / px_y, d / px_y, e, f)
    forward.invert()
    return forward


def draw_stroke(context: Any, item: Stroke) -> None:
    """Stroke a path."""
    draw_path(context, item.path)
    set_paint(context, Solid(item.colour, item.opacity), {})
    context.set_line_width(item.width)
    context.set_dash(list(item.dash))
    context.set_line_join(1)  # round: no spikes at the sharp tips of patches
    context.set_line_cap(1 if not item.dash else 0)
    context.stroke()
