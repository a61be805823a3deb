"""What the owner of a print says of it: in words given, else in the file beside its picture."""

import errno
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from quiltgeom.errors import QuiltFileError, QuiltValueError, shown
from quiltgeom.model.fabric import DIRECTIONS, REPEATS, Fabric, check_up
from quiltgeom.texts import READING_BYTES, read_json

_NUMBERS = ("up_deg", "motif_in", "repeat_width_in", "repeat_height_in")
_WORDS = {"direction": DIRECTIONS, "repeat_kind": REPEATS}


def declared_fabric(
    name: str,
    *,
    image: Path | None = None,
    direction: str | None = None,
    up_deg: float | None = None,
    **others: Any,
) -> Fabric:
    """A fabric by the words that were given; what they leave out, the owner's saved word says.

    Every command and design file makes its fabrics here, so that a print whose direction was
    corrected once (``quiltgeom read kelp.jpg --direction two-way --save``) counts as declared
    everywhere. Where nobody said anything, :class:`~quiltgeom.model.fabric.Fabric` keeps a picture
    upright.

    Args:
        name, image: as of a fabric.
        direction, up_deg: the words given; None where they say nothing.
        others: all else that a fabric takes.

    Raises:
        QuiltError: unusable words, or a damaged file beside the picture.

    >>> declared_fabric("kelp", image=Path("kelp.jpg"), direction="two-way").declared
    True
    >>> declared_fabric("kelp", image=Path("kelp.jpg")).declared
    False
    """
    saved: Mapping[str, Any] = {}
    if image is not None and (direction is None or up_deg is None):
        saved = load_corrections(image)
    way: Any = saved.get("direction") if direction is None else direction
    up = saved.get("up_deg", 0.0) if up_deg is None else up_deg
    return Fabric(name, image=image, direction=way, up_deg=up, **others)


def check_corrections(corrections: Mapping[str, object]) -> None:
    """Refuse words about a print that are none.

    Raises:
        QuiltValueError: an unknown word, or a value that is not usable.
    """
    for key, value in corrections.items():
        if key in _WORDS:
            if value not in _WORDS[key]:
                what = key.replace("_", " ")
                raise QuiltValueError(
                    f"{what}: found {shown(value)}; accepted: {', '.join(_WORDS[key])}"
                )
        elif key not in _NUMBERS:
            accepted = ", ".join((*_WORDS, *_NUMBERS))
            raise QuiltValueError(f"correction: found {shown(key)}; accepted: {accepted}")
        elif key == "up_deg":
            check_up(value, f"correction {key}")
        elif isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value <= 1000:
            raise QuiltValueError(
                f"correction {key}: found {shown(value)}; accepted: inches above 0, up to 1000"
            )
    if ("repeat_width_in" in corrections) != ("repeat_height_in" in corrections):
        raise QuiltValueError("repeat: found one of width and height; accepted: both")
    if "repeat_kind" in corrections and "repeat_width_in" not in corrections:
        raise QuiltValueError("repeat kind: found without a repeat; accepted: width and height too")


def reading_path(picture: str | Path) -> Path:
    """Where the reading of a picture is saved: ``photo.jpg`` -> ``photo.jpg.reading.json``.

    >>> reading_path("kelp.jpg").name
    'kelp.jpg.reading.json'
    """
    picture = Path(picture)
    return picture.with_name(picture.name + ".reading.json")


def load_reading(picture: str | Path) -> dict[str, Any] | None:
    """The saved reading of a picture as plain data; None if there is none.

    Raises:
        TextError: the file is damaged.
        QuiltFileError: it is no reading, or cannot be looked at.
    """
    if not Path(picture).name:  # "." and the like: no picture
        return None
    path = reading_path(picture)
    try:
        there = path.is_file()
    except OSError as e:
        if e.errno == errno.ENAMETOOLONG:  # nothing can stand beside a picture of so long a name
            return None
        raise QuiltFileError(
            f"picture {Path(picture).name}: its reading cannot be looked at ({e.strerror})"
        ) from e
    if not there:
        return None
    data = read_json(path, most=READING_BYTES)
    if not isinstance(data, dict):
        raise QuiltFileError(f"reading {path}: found no reading in it; accepted: a saved reading")
    return data


def load_corrections(picture: str | Path) -> dict[str, str | float]:
    """The user's saved corrections for a picture.

    Raises:
        QuiltFileError: the file is damaged, or they are no corrections.
    """
    saved = (load_reading(picture) or {}).get("corrections", {})
    try:
        if not isinstance(saved, dict):
            raise QuiltValueError(f"corrections: found {shown(saved)}; accepted: a table")
        check_corrections(saved)
        if "repeat_width_in" in saved:  # files from before there were kinds mean straight ones
            saved.setdefault("repeat_kind", "straight")
    except QuiltValueError as e:
        raise QuiltFileError(f"reading {reading_path(picture)}: {e}") from e
    return saved
