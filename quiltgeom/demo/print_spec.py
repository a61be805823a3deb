"""What a drawing function is told about its print."""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from quiltgeom.model.fabric import Direction, Fabric, Repeat

SWATCH_INCHES = 12.0


@dataclass(frozen=True, slots=True)
class PrintSpec:
    """A print to be drawn.

    Attributes:
        size: the drawn repeat, inches (before the swatch is turned).
        inks: screen colours, in the order that the drawing function documents.
        motif: size of the motif, inches.
    """

    size: tuple[float, float]
    ground: str
    inks: tuple[str, ...]
    motif: float
    seed: int


@dataclass(frozen=True, slots=True)
class SwatchInfo:
    """What is known of one swatch of 12 x 12 inches (so that a reading can be judged).

    Attributes:
        name: file name without its ending.
        design: which drawing makes it.
        direction: what the print allows.
        up_deg: where the print's up points in the picture, degrees clockwise from its top.
        repeat: as the picture shows it; None where nothing repeats.
        motif_in: size of its typical motif, inches; 0 for near-solids.
        character: ``clear`` or ``muted`` colours.
        ground: colour of the cloth, ``#rrggbb`` (of a near-solid: its lengthwise yarn).
        inks: the printed colours (of a near-solid: both yarns).
        slub: unevenness of the yarn of a near-solid.
        motif_at: centre of a motif in the picture, inches from its top left, where one stands
            by itself.
    """

    name: str
    title: str
    design: str
    direction: Direction
    up_deg: int
    repeat: Repeat | None
    motif_in: float
    character: Literal["clear", "muted"]
    ground: str
    inks: tuple[str, ...]
    seed: int = 0
    slub: float = 0.0
    motif_at: tuple[float, float] | None = None

    @property
    def colours(self) -> tuple[str, ...]:
        """Ground and inks without doubles, the ground first."""
        return tuple(dict.fromkeys((self.ground, *self.inks)))

    def fabric(self, folder: Path) -> Fabric:
        """The swatch's file in ``folder`` as a fabric."""
        return Fabric(
            self.title,
            image=folder / f"{self.name}.jpg",
            width=SWATCH_INCHES,
            direction=self.direction,
            up_deg=self.up_deg,
            repeat=self.repeat,
            motif=self.motif_at,
        )
