"""What a drawing function is told about its print."""

from dataclasses import dataclass


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
