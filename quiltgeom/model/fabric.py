"""A fabric: a swatch picture of known width, or a plain colour, and what is known of its print."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from quiltgeom.errors import QuiltValueError, shown

__all__ = ["DIRECTIONS", "REPEATS", "Direction", "Fabric", "Repeat", "check_up",
           "parse_colour"]  # fmt: skip

Direction = Literal["one-way", "two-way", "four-way", "non-directional"]
DIRECTIONS: tuple[Direction, ...] = ("one-way", "two-way", "four-way", "non-directional")
REPEATS = ("straight", "half-drop", "brick")


@dataclass(frozen=True, slots=True)
class Repeat:
    """How a print repeats: over ``width`` x ``height`` inches, neighbours level or half lowered.

    ``half-drop``: each next column is lowered by half the height; ``brick``: each next row is
    shifted by half the width. (By exactly one half both make the same lattice; which word is used
    is a convention.)
    """

    width: float
    height: float
    kind: Literal["straight", "half-drop", "brick"] = "straight"

    def __post_init__(self) -> None:
        if not (0 < self.width <= 200 and 0 < self.height <= 200):
            raise QuiltValueError(
                f"repeat: found {self.width:g} x {self.height:g} in; accepted: above 0, up to 200"
            )
        if self.kind not in REPEATS:
            raise QuiltValueError(
                f"repeat: found {shown(self.kind)}; accepted: {', '.join(REPEATS)}"
            )


@dataclass(frozen=True, slots=True)
class Fabric:
    """A fabric in a role.

    Attributes:
        name: for people.
        image: swatch picture, or None for a plain colour.
        colour: ``#rrggbb`` of a plain colour.
        width: real width of the swatch picture, inches (None: take the file's density).
        direction: what its print allows (see :data:`DIRECTIONS`).
        up_deg: where the print's up points in the picture, degrees clockwise from the picture's
            top; 90 means that the print's up is at the picture's right.
        repeat: the print's repeat, if known.
        motif: centre of a motif in the picture, inches from its top left, for fussy cutting.
    """

    name: str
    image: Path | None = None
    colour: str | None = None
    width: float | None = None
    direction: Direction = "non-directional"
    up_deg: float = 0.0
    repeat: Repeat | None = None
    motif: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        # file names need not be UTF-8; what is written out must be
        plain = self.name.encode("utf-8", "replace").decode("utf-8")
        object.__setattr__(self, "name", plain)
        if (self.image is None) == (self.colour is None):
            raise QuiltValueError(
                f"fabric {self.name}: found {'both' if self.image else 'neither'} of picture and "
                "colour; accepted: one of them"
            )
        if self.colour is not None:
            object.__setattr__(self, "colour", parse_colour(self.colour))
        if self.width is not None and not 0 < self.width <= 1000:
            raise QuiltValueError(
                f"fabric {self.name}: width: found {self.width:g} in; accepted: more than 0"
            )
        if self.direction not in DIRECTIONS:
            raise QuiltValueError(
                f"fabric {self.name}: direction: found {self.direction!r}; "
                f"accepted: {', '.join(DIRECTIONS)}"
            )
        check_up(self.up_deg, f"fabric {self.name}: up")
        for mark in self.motif or ():
            if not 0 <= mark <= 1000:
                raise QuiltValueError(
                    f"fabric {self.name}: motif: found {mark:g} in; accepted: 0 to 1000"
                )


def check_up(degrees: object, what: str = "up") -> None:
    """Where a print's up points: a number of degrees, at most once round either way.

    >>> check_up(-90)
    """
    number = isinstance(degrees, int | float) and not isinstance(degrees, bool)
    if not number or not -360 <= degrees <= 360:  # type: ignore[operator]
        raise QuiltValueError(
            f"{what}: found {shown(degrees)}; accepted: degrees from -360 to 360, such as 90"
        )


def parse_colour(text: str) -> str:
    """``#rgb`` or ``#rrggbb`` to ``#rrggbb`` in small letters.

    >>> parse_colour("#FA0")
    '#ffaa00'
    """
    value = str(text).strip().lower()
    if re.fullmatch(r"#[0-9a-f]{3}", value):
        return "#" + "".join(c * 2 for c in value[1:])
    if re.fullmatch(r"#[0-9a-f]{6}", value):
        return value
    raise QuiltValueError(f"colour: found {shown(text)}; accepted: #rrggbb, e.g. #f3ead8")
