"""The demo's swatches: what they are, drawing them, writing them as picture files."""

import io
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from quiltgeom.demo import cloth_weave, prints_large, prints_small, prints_tossed
from quiltgeom.demo.pen import Pen, draw_tile
from quiltgeom.demo.print_spec import SWATCH_INCHES, PrintSpec, SwatchInfo
from quiltgeom.errors import QuiltKeyError, QuiltValueError
from quiltgeom.files import write_whole
from quiltgeom.model.fabric import Repeat
from quiltgeom.texts import read_toml

_DATA = Path(__file__).with_name("swatches.toml")


def _info(t: dict[str, Any]) -> SwatchInfo:
    known, size, at = dict(t), t.get("repeat"), t.get("motif_at")
    kind = known.pop("repeat_kind", "straight")
    known |= {
        "repeat": Repeat(size[0], size[1], kind) if size else None,
        "motif_at": at and (at[0], at[1]),
    }
    known |= {"up_deg": known.pop("up", 0), "motif_in": known.pop("motif")}
    known |= {"ground": t.get("ground", t["inks"][0]), "inks": tuple(t["inks"])}
    return SwatchInfo(**known)


SWATCHES: tuple[SwatchInfo, ...] = tuple(map(_info, read_toml(_DATA)["swatch"]))
"""Every swatch, in the order of the data file."""


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


def design_folder() -> Path:
    """Folder with the example designs that come with the package."""
    return _DATA.with_name("designs")


def swatch_info(name: str) -> SwatchInfo:
    """The swatch of that name.

    Raises:
        QuiltKeyError: there is none.

    >>> swatch_info("market-lemons").direction
    'non-directional'
    """
    for info in SWATCHES:
        if info.name == name:
            return info
    known = ", ".join(s.name for s in SWATCHES)
    raise QuiltKeyError(f"demo swatch: found {name!r}; accepted: {known}")


def draw_swatch(name: str, ppi: int = 150) -> Image.Image:
    """Draw one swatch: 12 x 12 inches of printed cotton, RGB.

    Args:
        ppi: pixels per inch, 20 to 600.

    Raises:
        QuiltKeyError: no swatch of that name.
        QuiltValueError: ``ppi`` out of range.
    """
    info = swatch_info(name)
    if not 20 <= ppi <= 600:
        raise QuiltValueError(f"ppi: found {ppi}; accepted: 20 to 600 pixels per inch")
    px = round(SWATCH_INCHES * ppi)
    if info.design == "crossweave":
        pixels = cloth_weave.dye(info.inks[0], info.inks[1], px, ppi, info.slub)
    elif info.design == "mottle":
        pixels = cloth_weave.mottle(info.inks[0], info.inks[1], px, ppi, info.seed)
    else:
        pixels = cloth_weave.print_on(print_tile(info, ppi), px, ppi)
    return Image.fromarray(np.ascontiguousarray(pixels))


def write_swatches(
    folder: str | Path,
    names: Iterable[str] | None = None,
    ppi: int = 150,
    progress: Callable[[SwatchInfo], None] | None = None,
) -> list[Path]:
    """Write swatches as ``NAME.jpg`` (quality 92, full colour); the files say their density.

    Args:
        folder: made if missing; files of the same name are replaced.
        ppi: pixels per inch.
        progress: called with each swatch after it is written.

    Raises:
        QuiltKeyError: an unknown name (before anything is written).
        QuiltFileError: the folder cannot be written to.
    """
    infos = SWATCHES if names is None else tuple(swatch_info(n) for n in names)
    paths = []
    for info in infos:
        out = io.BytesIO()
        picture = draw_swatch(info.name, ppi)
        picture.save(out, "JPEG", quality=92, subsampling=0, dpi=(ppi, ppi))
        paths.append(write_whole(Path(folder) / f"{info.name}.jpg", out.getvalue()))
        if progress:
            progress(info)
    return paths
