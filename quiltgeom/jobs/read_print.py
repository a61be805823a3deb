"""Reading a print, from a photo."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from quiltgeom.checks import Checks, number
from quiltgeom.documents.reading_picture import reading_picture, write_corrected
from quiltgeom.fabric.photo.prepare import AS_TAKEN, Calibration
from quiltgeom.fabric.reading.as_fabric import fabric_from_reading
from quiltgeom.fabric.reading.read_file import read_swatch, save_reading
from quiltgeom.fabric.reading.reading import Reading, corrected
from quiltgeom.fabric.reading.reading_words import describe
from quiltgeom.files import picture_file
from quiltgeom.jobs.arguments import checks_arguments
from quiltgeom.matching.facts import PrintFacts, print_facts
from quiltgeom.model.fabric import Fabric
from quiltgeom.render.answer import Answer
from quiltgeom.render.scene import Scene


@dataclass(frozen=True, repr=False)
class Swatch(Answer):
    """A swatch and what was read from it.

    Attributes:
        photo: its picture.
        reading: repeat, direction, motif, loudness, palette, value.
        calibration: what was known of the photo.
        width: what was said of its width, inches.
    """

    photo: Path
    reading: Reading
    calibration: Calibration = AS_TAKEN
    width: float | None = None

    @property
    def fabric(self) -> Fabric:
        """The cloth, ready to be laid and cut."""
        return fabric_from_reading(self.photo.stem, self.photo, self.reading, self.calibration)

    @property
    def facts(self) -> PrintFacts:
        """The print as the rules look at it."""
        return print_facts(self.reading)

    def __repr__(self) -> str:
        r = self.reading
        size = f"{r.width_in:g} x {r.height_in:g} in"
        return f"<Swatch: {self.photo.name}, {size}, {r.direction.kind}>"

    def to_json(self) -> dict[str, Any]:
        """The reading."""
        return self.reading.to_json()

    def lines(self) -> list[str]:
        """The reading in words."""
        return describe(self.reading)

    def scenes(self) -> list[Scene]:
        """The picture with its repeat, up and motifs marked."""
        return [reading_picture(self.photo, self.reading, self.calibration)]

    def with_corrections(self, said: Mapping[str, str | float]) -> "Swatch":
        """The same with your word on it, such as ``{"direction": "two-way"}``: what an answer to
        the reading's question sets.

        Raises:
            QuiltValueError: unknown corrections.
        """
        return replace(self, reading=corrected(self.reading, said))

    def keep(self) -> Path:
        """Save the reading beside the picture, so that it is not read again."""
        return save_reading(self.reading, self.photo)

    def save_corrected(self, path: str | Path) -> Path:
        """Write the photo as it was straightened and balanced, for previews and advice; see
        :func:`~quiltgeom.documents.reading_picture.write_corrected`."""
        return write_corrected(self.photo, path, self.reading.width_in, self.calibration)


@checks_arguments()
def read(
    photo: Any,
    width: float | None = None,
    *,
    calibration: Calibration = AS_TAKEN,
    direction: str | None = None,
    up_deg: float | None = None,
    motif_in: float | None = None,
    repeat_width_in: float | None = None,
    repeat_height_in: float | None = None,
    repeat_kind: str | None = None,
) -> Swatch:
    """Read a print from a photo: repeat, direction, motif, loudness, colours, value.

    Args:
        photo: the picture's file; or an array of shape ``(height, width, 3)`` of ``uint8`` sRGB, or
            a Pillow image.
        width: its real width, inches; None: as the file or the calibration says.
        calibration: corners, a card, a distance.
        direction: what you know better, as all that follows: ``"one-way"``, ``"two-way"``,
            ``"four-way"`` or ``"non-directional"``.
        up_deg: where the print's up points, degrees clockwise from the picture's top.
        motif_in: size of its motif, inches.
        repeat_width_in, repeat_height_in: inches as of a :class:`Repeat`, which are those that are
            printed.
        repeat_kind: ``"straight"``, ``"half-drop"`` or ``"brick"``; None: as found.

    Raises:
        QuiltFileError: no picture.
        QuiltValueError: no width is known, or a correction that cannot be.
    """
    said = dict(direction=direction, up_deg=up_deg, motif_in=motif_in, repeat_kind=repeat_kind)
    said |= dict(repeat_width_in=repeat_width_in, repeat_height_in=repeat_height_in)
    corrections: Any = {k: v for k, v in said.items() if v is not None}
    check = Checks("read")
    if width is not None:
        check.that(width, "width", number(0, 1000, " in", above=True))
    check.done()
    photo = Path(photo) if isinstance(photo, str | Path) else picture_file(photo)
    reading = read_swatch(photo, width, corrections=corrections, calibration=calibration)
    return Swatch(photo, reading, calibration, width)


def swatch_of(print_: Any, width: float | None = None) -> Swatch:
    """What was read already, or what is read of a photo now."""
    return print_ if isinstance(print_, Swatch) else read(print_, width)
