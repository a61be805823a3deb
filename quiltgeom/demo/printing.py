"""From a swatch's data to one repeat of its print, before it is put on cloth."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from quiltgeom.demo import prints_large, prints_small, prints_tossed
from quiltgeom.demo.pen import Pen, draw_tile
from quiltgeom.demo.print_spec import PrintSpec, SwatchInfo
from quiltgeom.errors import QuiltValueError

Draw = Callable[[Pen, PrintSpec], None]

_DESIGNS: dict[str, Draw] = {
    name.removeprefix("draw_").replace("_", "-"): draw
    for module in (prints_large, prints_small, prints_tossed)
    for name, draw in vars(module).items()
    if name.startswith("draw_")
}


def print_tile(info: SwatchInfo, ppi: int) -> NDArray[np.uint8]:
    """One repeat (two of them for half-drop and brick).

    Returns:
        RGBX pixels, shape (rows, columns, 4).

    Raises:
        QuiltValueError: the data name an unknown design or no repeat.
    """
    draw = _DESIGNS.get(info.design)
    if draw is None or info.repeat is None:
        raise QuiltValueError(
            f"demo swatch {info.name}: design: found {info.design!r}; "
            f"accepted: {', '.join(_DESIGNS)} with a repeat, or crossweave or mottle"
        )
    quarter = info.up_deg // 90 % 4
    size = (info.repeat.width, info.repeat.height)
    spec = PrintSpec(
        size[::-1] if quarter % 2 else size, info.ground, info.inks, info.motif_in, info.seed
    )
    tile = draw_tile(spec.size, info.repeat.kind, info.ground, ppi, lambda pen: draw(pen, spec))
    return np.rot90(tile, -quarter)
