"""The project's own swatches: drawn, woven, always the same."""

from __future__ import annotations

import io
import math
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, partial
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from quiltgeom.demo import motifs
from quiltgeom.demo.canvas import Canvas, Numbers, printed, rgb
from quiltgeom.errors import QuiltKeyError
from quiltgeom.model.fabric import Direction, Fabric, Repeat
from quiltgeom.render.files import write_whole

__all__ = ["SIZE", "SwatchInfo", "draw_swatch", "swatches", "write_swatches"]

SIZE = 12.0
"""Width and height of every swatch, inches."""


@dataclass(frozen=True, slots=True)
class SwatchInfo:
    """What is true of a swatch because it was drawn so.

    Attributes:
        name: file name without ending.
        title: for people.
        direction: one-way, two-way, four-way, non-directional.
        repeat: if it repeats within the swatch.
        motif: size of a typical motif, inches (0: none).
        about: in words.
    """

    name: str
    title: str
    direction: Direction
    repeat: Repeat | None
    motif: float
    about: str

    def fabric(self, folder: Path) -> Fabric:
        """The swatch's file in ``folder`` as a fabric."""
        return Fabric(self.title, image=folder / f"{self.name}.jpg", width=SIZE,
                      direction=self.direction, repeat=self.repeat)  # fmt: skip


@cache
def swatches() -> dict[str, SwatchInfo]:
    """All swatches by name."""
    table = tomllib.loads((files("quiltgeom.demo") / "swatches.toml").read_text("utf-8"))
    return {
        name: SwatchInfo(
            name, row["title"], row["direction"],
            _repeat(row),
            row["motif"], row["about"],
        )
        for name, row in table.items()
    }  # fmt: skip


def _repeat(row: dict[str, Any]) -> Repeat | None:
    if "repeat" not in row:
        return None
    width, height = row["repeat"]
    return Repeat(width, height, row.get("repeat_kind", "straight"))


def draw_swatch(name: str, ppi: int = 150) -> Image.Image:
    """Draw a swatch, ``12 * ppi`` pixels each way.

    Raises:
        QuiltKeyError: no swatch of that name.
    """
    if name not in _DRAWN:
        raise QuiltKeyError(f"swatch: found {name!r}; accepted: {', '.join(sorted(_DRAWN))}")
    side = round(SIZE * ppi)
    tile, rough = _DRAWN[name](ppi)
    return printed(tile, (side, side), ppi, seed=sum(name.encode()), rough=rough)


def write_swatches(
    folder: str | Path,
    names: Sequence[str] | None = None,
    *,
    ppi: int = 150,
    progress: Callable[..., None] | None = None,
) -> list[Path]:
    """Write swatches as JPEG files that state their density; ``progress`` is called after each."""
    written = []
    for name in names if names is not None else list(swatches()):
        out = io.BytesIO()
        draw_swatch(name, ppi).save(out, "JPEG", quality=92, subsampling=0, dpi=(ppi, ppi))
        written.append(write_whole(Path(folder) / f"{name}.jpg", out.getvalue()))
        if progress:
            progress()
    return written


Drawn = tuple[NDArray[np.float64], float]


def _harbour_morning(ppi: int) -> Drawn:
    c = Canvas(12, 12, ppi, "#bcd6dc")
    ink = "#2b3a4a"
    for top, sea in ((3.55, "#7fb0b9"), (9.4, "#7fb0b9")):
        _bay(c, top, sea)
    c.stamp(2.1, 2.35, partial(motifs.lighthouse, ink=ink))
    for x, y, wall, roof in (
        (4.3, 3.55, "#e9b99a", "#8a4a3a"), (5.6, 3.3, "#f3dfa2", "#4c6b7a"),
        (6.9, 3.6, "#cfdcc4", "#8a4a3a"), (0.55, 9.3, "#f3dfa2", "#8a4a3a"),
        (10.9, 9.35, "#e9b99a", "#4c6b7a"), (9.6, 9.5, "#cfdcc4", "#4c6b7a"),
    ):  # fmt: skip
        c.stamp(x, y, partial(motifs.house, wall=wall, roof=roof, ink=ink))
    for x, y, hull, sail, s in (
        (9.3, 3.4, "#b5483a", "#efc45a", 1.25), (5.2, 8.6, "#3f6d86", "#d98a63", 1.45),
        (2.4, 9.2, "#b5483a", "#f6efe2", 1.0),
    ):  # fmt: skip
        c.stamp(x, y, partial(motifs.boat, hull=hull, sail=sail, ink=ink), scale=s)
    for x, y, s in ((4.2, 0.9, 1.0), (7.0, 1.6, 0.8), (10.6, 0.7, 1.1), (8.6, 6.6, 1.0),
                    (1.4, 6.9, 0.9), (11.2, 6.2, 0.7), (3.4, 6.2, 0.8)):  # fmt: skip
        c.stamp(x, y, motifs.gull, scale=s)
    return c.pixels(), 1.0


def _bay(c: Canvas, top: float, sea: str) -> None:
    """A low shore, and water with rows of small waves that fade out below."""
    k = c.context
    k.move_to(0, top + 0.75)
    for i in range(13):
        k.curve_to(i - 0.6, top + 0.35, i - 0.4, top + 0.35, i, top + 0.75)
    k.line_to(12, top + 2.2)
    k.line_to(0, top + 2.2)
    k.close_path()
    k.set_source_rgb(*rgb("#8fae86"))
    k.fill()
    k.rectangle(0, top + 1.15, 12, 1.35)
    k.set_source_rgb(*rgb(sea))
    k.fill()
    k.set_line_width(0.05)
    for row in range(4):
        y = top + 1.3 + row * 0.36
        k.set_source_rgb(*rgb("#e6f0ee" if row < 3 else sea))
        for i in range(16):
            x = (i + 0.5 * (row % 2)) * 0.75
            k.move_to(x, y)
            k.curve_to(x + 0.12, y - 0.13, x + 0.25, y - 0.13, x + 0.37, y)
            k.stroke()


def _reed_herons(ppi: int) -> Drawn:
    c = Canvas(12, 6, ppi, "#d9d3c3")
    for dx, dy in ((0.0, 0.0), (6.0, 3.0)):
        for x, y, s, green in (
            (1.0, 2.6, 1.0, "#8c9678"), (4.9, 2.3, 1.15, "#7d8a6d"),
            (4.2, 3.5, 0.8, "#9aa286"), (0.35, 4.0, 0.8, "#9aa286"),
        ):  # fmt: skip
            c.stamp(x + dx, y + dy, partial(motifs.reed, green=green, head="#7a5f4c"), scale=s)
        heron = partial(motifs.heron, body="#a9b4b8", wing="#74868f", ink="#454d52")
        c.stamp(2.6 + dx, 3.0 + dy, heron)
        for k in range(3):
            _ripple(c, 2.6 + dx, 5.05 + dy + 0.14 * k, 1.1 - 0.25 * k)
    return c.pixels(), 1.0


def _ripple(c: Canvas, x: float, y: float, half: float) -> None:
    def draw(k: Any) -> None:
        k.move_to(-half, 0)
        k.curve_to(-half / 2, 0.07, half / 2, 0.07, half, 0)
        k.set_source_rgb(*rgb("#8fa0a3"))
        k.set_line_width(0.035)
        k.stroke()

    c.stamp(x, y, draw)


def _shoal(ppi: int) -> Drawn:
    c = Canvas(3, 3, ppi, "#e7ddc8")
    for x, y, turn in ((0.75, 0.75, 0), (2.25, 0.75, 180), (0.75, 2.25, 180), (2.25, 2.25, 0)):
        body, fin = ("#a9574d", "#7f3f3c") if x < 1.5 else ("#5d7f86", "#3f5f68")
        c.stamp(x, y, partial(motifs.fish, body=body, fin=fin, ink="#33383c"), turn=turn,
                scale=0.72)  # fmt: skip
    for x, y in ((0.0, 0.0), (1.5, 1.5), (1.5, 0.0), (0.0, 1.5)):
        c.stamp(x, y, lambda k: _dot(k, 0.08, "#c9a35a"))
    return c.pixels(), 1.0


def _dot(k: Any, radius: float, colour: str) -> None:
    k.arc(0, 0, radius, 0, 2 * math.pi)
    k.set_source_rgb(*rgb(colour))
    k.fill()


def _market_lemons(ppi: int) -> Drawn:
    c = Canvas(6, 6, ppi, "#2f6f8f")
    numbers = Numbers(11)
    places = _scattered(numbers, 15, 6.0, 1.45)
    for i, (x, y) in enumerate(places):
        turn = numbers.between(0, 360)
        for side in (-1, 1):
            a = math.radians(turn)
            c.stamp(x - 0.75 * math.cos(a), y - 0.75 * math.sin(a), motifs.leaf,
                    turn=turn + 180 + 42 * side, scale=0.72)  # fmt: skip
        skin = "#f2c53d" if i % 3 else "#f7d978"
        c.stamp(x, y, partial(motifs.lemon, skin=skin), turn=turn)
    for x, y in _scattered(numbers, 60, 6.0, 0.55, apart_from=places, gap=0.95):
        c.stamp(x, y, lambda k: _dot(k, 0.055, "#f6efe2"))
    return c.pixels(), 1.0


def _scattered(
    numbers: Numbers, count: int, side: float, apart: float,
    *, apart_from: Sequence[tuple[float, float]] = (), gap: float = 0.0,
) -> list[tuple[float, float]]:  # fmt: skip
    """Places on a torus, no two nearer than ``apart``, as many as fit up to ``count``."""

    def far(p: tuple[float, float], q: tuple[float, float]) -> float:
        d = [abs(a - b) for a, b in zip(p, q, strict=True)]
        return math.hypot(*(min(v, side - v) for v in d))

    found: list[tuple[float, float]] = []
    for _ in range(4000):
        p = (numbers.between(0, side), numbers.between(0, side))
        if all(far(p, q) >= apart for q in found) and all(far(p, q) >= gap for q in apart_from):
            found.append(p)
        if len(found) == count:
            break
    return found


def _rope_stripe(ppi: int) -> Drawn:
    c = Canvas(1.5, 0.3, ppi, "#efe6d2")
    k = c.context
    for x, w, colour in ((0.0, 0.3, "#33536b"), (0.42, 0.05, "#33536b"), (0.55, 0.05, "#a9574d"),
                         (1.33, 0.05, "#33536b")):  # fmt: skip
        k.rectangle(x, 0, w, 0.3)
        k.set_source_rgb(*rgb(colour))
        k.fill()
    for i in range(-1, 3):
        c.stamp(0.95, 0.15 * i, _strand)
    return c.pixels(), 1.0


def _strand(k: Any) -> None:
    """One strand of the rope; drawn every 0.15 inch."""
    k.move_to(-0.16, 0.1)
    k.curve_to(-0.05, 0.08, 0.05, -0.08, 0.16, -0.1)
    k.curve_to(0.17, -0.02, 0.12, 0.05, 0.0, 0.09)
    k.curve_to(-0.06, 0.11, -0.12, 0.14, -0.16, 0.1)
    k.close_path()
    k.set_source_rgb(*rgb("#c9a35a"))
    k.fill_preserve()
    k.set_source_rgb(*rgb("#7d5f2a"))
    k.set_line_width(0.018)
    k.stroke()


def _mottled(colour: str, amount: float, seed: int, cell: float = 0.6) -> Callable[[int], Drawn]:
    """Near-solid: soft clouds in the dye."""

    def draw(ppi: int) -> Drawn:
        side = round(SIZE * ppi)
        clouds = np.zeros((side, side))
        for octave in range(3):
            n = max(2, round(SIZE / cell * 2**octave))
            grid = Numbers(seed + octave).array(n, n) - 0.5
            image = Image.fromarray(np.pad(grid, 2, mode="wrap").astype(np.float32))
            box = (2.0, 2.0, n + 2.0, n + 2.0)
            smooth = image.resize((side, side), Image.Resampling.BICUBIC, box=box)
            clouds += np.asarray(smooth, dtype=np.float64) / 2**octave
        base = np.array(rgb(colour))
        return np.clip(base * (1.0 + amount * clouds[..., None]), 0, 1), 1.4

    return draw


def _pebbles(ppi: int) -> Drawn:
    c = Canvas(1.0, 0.5, ppi, "#c8beab")
    for x, y in ((0.25, 0.125), (0.75, 0.375)):
        c.stamp(x, y, lambda k: _dot(k, 0.07, "#9a8f7d"))
    return c.pixels(), 1.0


def _kelp(ppi: int) -> Drawn:
    c = Canvas(4, 4, ppi, "#6f7f63")
    for x, y, s, flip in ((1.0, 2.0, 1.0, False), (3.0, 0.0, 1.0, True)):
        c.stamp(x, y, _frond, scale=s, flip=flip)
    return c.pixels(), 1.2


def _frond(k: Any) -> None:
    k.set_source_rgb(*rgb("#83936f"))
    k.set_line_width(0.07)
    k.move_to(0.1, 1.7)
    k.curve_to(-0.35, 0.8, 0.4, 0.1, 0.0, -1.6)
    k.stroke()
    for i in range(7):
        y = 1.3 - 0.42 * i
        side = 1 if i % 2 else -1
        x = 0.12 * math.sin(2.2 * y)
        k.save()
        k.translate(x, y)
        k.rotate(math.radians(-90 + 52 * side))
        k.scale(1.0 - 0.06 * i, 1.0 - 0.06 * i)
        k.move_to(0, 0)
        k.curve_to(0.25, -0.2, 0.6, -0.18, 0.85, 0.02)
        k.curve_to(0.6, 0.16, 0.25, 0.14, 0, 0)
        k.close_path()
        k.fill()
        k.restore()


_DRAWN: dict[str, Callable[[int], Drawn]] = {
    "harbour-morning": _harbour_morning,
    "reed-herons": _reed_herons,
    "shoal": _shoal,
    "market-lemons": _market_lemons,
    "rope-stripe": _rope_stripe,
    "sailcloth": _mottled("#efe6d2", 0.05, 3),
    "deep-water": _mottled("#24566a", 0.22, 5),
    "pebbles": _pebbles,
    "kelp": _kelp,
    "lamp-oil": _mottled("#c98a3c", 0.14, 9),
}
