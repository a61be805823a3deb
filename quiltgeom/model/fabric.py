"""A fabric: a swatch picture of known width, or a plain colour, and what is known of its print."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from quiltgeom import checks
from quiltgeom.errors import QuiltValueError, shown
from quiltgeom.files import picture_file

Direction = Literal["one-way", "two-way", "four-way", "non-directional"]
DIRECTIONS: tuple[Direction, ...] = ("one-way", "two-way", "four-way", "non-directional")
_REPEAT = checks.number(0, 200, " in", above=True)
_MOTIF: checks.Rule = (
    lambda v: isinstance(v, tuple) and len(v) == 2 and all(checks.number(0, 1000)[0](m) for m in v),
    "two numbers of inches, from 0 to 1000",
)
REPEATS = ("straight", "half-drop", "brick")
UNDECLARED = "not declared: kept upright to be safe"


@checks.spelled
@dataclass(frozen=True, slots=True)
class Repeat:
    """How a print repeats: every ``width`` x ``height`` inches once, neighbours level or shifted.

    ``half-drop``: ``width`` is that of one column, each next one is lowered by half the height;
    ``brick``: ``height`` is that of one row, each next one is shifted by half the width. The
    rectangle in which such a print repeats without a shift holds two of them. Wherever a repeat is
    shown to people or said by them, it is in these numbers. (By exactly one half both kinds make
    the same lattice; which word is used is a convention.)

    Flowers 6 inches apart in rows 2 inches apart, every second row shifted by 3 inches:

    >>> Repeat(6, 2, "brick")
    Repeat(width=6, height=2, kind='brick')
    """

    width: float
    height: float
    kind: Literal["straight", "half-drop", "brick"] = "straight"

    def __post_init__(self) -> None:
        checks.guard(self, width=_REPEAT, height=_REPEAT)


@checks.spelled
@dataclass(frozen=True, slots=True, repr=False)
class Fabric:
    """A fabric in a role.

    Attributes:
        name: for people.
        image: file of the swatch picture, or None for a plain colour; made of an array of shape
            ``(height, width, 3)`` of ``uint8`` sRGB or of a Pillow image, too.
        colour: ``#rrggbb`` of a plain colour.
        width: real width of the swatch picture, inches (None: take the file's density).
        direction: what its print allows (see :data:`DIRECTIONS`). Left out, a plain colour is
            non-directional and a picture one-way: upright is never wrong, only less thrifty.
        declared: False for a picture of which nobody said how its print lies, so that it is
            one-way to be safe; any other direction is somebody's word.
        up_deg: where the print's up points in the picture, degrees clockwise from the picture's
            top; 90 means that the print's up is at the picture's right.
        repeat: the print's repeat, if known.
        motif: centre of a motif in the picture, inches from its top left, for fussy cutting.
    """

    name: str
    image: Path | None = None
    colour: str | None = None
    width: float | None = None
    direction: Direction = None  # type: ignore[assignment]  # never None once it is made
    up_deg: float = 0.0
    repeat: Repeat | None = None
    motif: tuple[float, float] | None = None
    declared: bool = True

    if TYPE_CHECKING:  # what it is made of is more than what it then has

        def __init__(
            self,
            name: str,
            image: Any = None,
            colour: str | None = None,
            width: float | None = None,
            direction: Direction | None = None,
            up_deg: float = 0.0,
            repeat: Repeat | None = None,
            motif: tuple[float, float] | None = None,
            declared: bool = True,
        ) -> None: ...

    def __post_init__(self) -> None:
        if isinstance(self.name, str):
            # file names need not be UTF-8; what is written out must be
            plain = self.name.encode("utf-8", "replace").decode("utf-8")
            object.__setattr__(self, "name", plain)
        if isinstance(self.image, str) and re.fullmatch("#[0-9A-Fa-f]{3,8}", self.image):
            raise QuiltValueError(
                f"fabric {self.name}: picture: found the colour {self.image}; "
                f"accepted: a file, or colour={self.image!r}"
            )
        if isinstance(self.image, str):
            object.__setattr__(self, "image", Path(self.image))
        elif hasattr(self.image, "__array_interface__"):
            object.__setattr__(self, "image", picture_file(self.image))
        check = checks.Checks(f"fabric {self.name if isinstance(self.name, str) else ''}")
        if (self.image is None) == (self.colour is None):
            which = "neither" if self.image is None else "both"
            rule = "a fabric has a picture or a colour"
            check.add(rule, f"{which} of picture and colour", "one of them")
        way = (lambda v: v is None or v in DIRECTIONS, ", ".join(DIRECTIONS))
        wide = checks.number(0, 1000, " in", above=True)
        bad = check.fields(self, name=checks.TEXT, width=wide, direction=way, motif=_MOTIF)
        if self.colour is not None and "colour" not in bad:
            check.passes(parse_colour, self.colour)
        if "up_deg" not in bad:
            check.passes(check_up, self.up_deg)
        check.done()
        if self.colour is not None:
            object.__setattr__(self, "colour", parse_colour(self.colour))
        declared = self.declared  # by which an undeclared print is laid, cut and drawn: upright
        if self.direction is None:
            declared = self.image is None
            object.__setattr__(self, "direction", "non-directional" if declared else "one-way")
        object.__setattr__(self, "declared", declared or self.direction != "one-way")

    def __repr__(self) -> str:
        width = f", {self.width:g} in wide" if self.width else ""
        return checks.brief(
            f"Fabric {self.name}, {self.colour or self.image}{width}, {self.direction}"
        )

    @property
    def way(self) -> str:
        """The direction in words; says so where nobody declared it.

        >>> Fabric("herons", image=Path("herons.jpg")).way
        'one-way (not declared: kept upright to be safe)'
        >>> Fabric("fog", colour="#fff").way
        'non-directional'
        """
        return way_words(self.direction, self.declared)


def way_words(direction: Direction, declared: bool) -> str:
    """A direction for people, as of :attr:`Fabric.way`."""
    return direction if declared else f"{direction} ({UNDECLARED})"


def kept_upright(fabrics: Mapping[str, Fabric]) -> tuple[str, ...]:
    """For every cloth that is kept upright only because nobody declared it: how to declare it.

    >>> kept_upright({"focus": Fabric("fog", colour="#fff")})
    ()
    """
    return tuple(undeclared_note(r, f.name) for r, f in fabrics.items() if not f.declared)


def undeclared_note(role: str, name: str) -> str:
    """That a cloth is kept upright to be safe, and how to declare its direction."""
    return (
        f"{role} ({name}): direction {UNDECLARED}, which may take more cloth; if its print may lie "
        "any way, say direction=non-directional (or two-way, four-way, one-way)"
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
