"""Small patterns made for the golden tests: one behaviour each, in a block that shows its turn."""

from __future__ import annotations

from collections.abc import Sequence

from quiltgeom.geometry.outline import rectangle
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.model.block import Block, Patch, plain_block
from quiltgeom.model.pattern import Border, Cell, Lie, Pattern, RoleSpec, Sashing, Setting, Tile
from quiltgeom.model.quilt import Quilt

__all__ = ["signal_block", "signal_pattern", "signal_quilt"]


def signal_block() -> Block:
    """A tall plank of the print, a square turned a quarter, a light square: unlike its mirror
    image and unlike itself in every other turn."""
    patches = (
        Patch(rectangle(0, 0, 1, 2), "focus", "plank"),
        Patch(rectangle(1, 0, 1, 1), "accent", "turned", turn_deg=90.0),
        Patch(rectangle(1, 1, 1, 1), "background", "light"),
    )
    return Block("signal", "Signal", 2, 2, patches, rectangle(0, 0, 2, 2))


def signal_pattern(
    setting: Setting = "straight",
    *,
    lie: Lie = "upright",
    borders: Sequence[Border] = (),
    sashing: Sashing | None = None,
    turning: bool = True,
) -> Pattern:
    """Signal blocks in all four turns, every second row mirrored (or all as drawn)."""
    roles = {r: RoleSpec(r, lie=lie, main=r == "focus") for r in ("focus", "background", "accent")}
    roles["edge"] = RoleSpec("edge")
    turns = (0, 1, 2, 3) if turning else (0,)
    rows = (False, True) if turning else (False,)
    cells = tuple(tuple(Cell("S", q, m) for q in turns) for m in rows)
    tiles = {"S": Tile(signal_block()), "U": Tile(plain_block(1, 1, "edge"))}
    return Pattern(
        "signals",
        "Signals",
        "",
        setting,
        6.0,
        2,
        2,
        roles,
        tiles,
        cells,
        inner=cells,
        sashing=sashing,
        borders=tuple(borders),
        side_role="edge",
        corner_role="edge",
    )


def signal_quilt(pattern: Pattern, rows: int = 2, columns: int = 2) -> Quilt:
    """Such a pattern laid out."""
    return lay_out(pattern, rows=rows, columns=columns)
