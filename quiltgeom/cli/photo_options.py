"""Options of every command that reads a print from a photo: how it was taken, and what its owner
knows better."""

import sys
from collections.abc import Callable, Mapping
from typing import Any

import click

import quiltgeom as qg
from quiltgeom.cli.types import DEGREES, LENGTH, Parsed, opt
from quiltgeom.errors import QuiltValueError
from quiltgeom.model.fabric import DIRECTIONS, REPEATS


def _numbers(count: int, shape: str) -> Parsed:
    """A parameter of so many numbers, between commas or spaces."""

    def parse(text: str) -> tuple[float, ...]:
        try:
            values = tuple(float(v) for v in text.replace(",", " ").split())
        except ValueError:
            values = ()
        if len(values) != count or not all(abs(v) <= 1e6 for v in values):
            raise QuiltValueError(f"found {text!r}; accepted: {shape}, in pixels")
        return values

    return Parsed(shape, parse)


def _white(text: str) -> object:
    return "auto" if text.strip() == "auto" else _AREA.parse(text)


_AREA = _numbers(4, "X0,Y0 X1,Y1")

_OPTIONS = (
    opt("--width", "Real width of the cloth in the photo, e.g. 12in.", LENGTH),
    opt("--whole", "The cloth fills the photo: do not look for it on a table."),
    opt(
        "--corners",
        "Corners of the cloth in the photo, clockwise from its top left.",
        _numbers(8, "X,Y X,Y X,Y X,Y"),
    ),
    opt("--points", "Two points; give --apart.", _numbers(4, "X,Y X,Y")),
    opt("--apart", "How far apart the two points really are.", LENGTH),
    opt(
        "--white",
        "Area of a white or grey card; auto looks for it at the photo's edge.",
        Parsed("X0,Y0 X1,Y1 or auto", _white),
    ),
    opt("--reflectance", "How light the card is: 0.18 grey, 0.85 paper.", float),
    opt("--even-light", "Take out light that falls off to one side."),
    opt("--direction", "Your word wins.", DIRECTIONS),
    opt("--up DEG", "Where the print's up points, clockwise.", DEGREES),
    opt("--motif", "Size of its motif, if you measured it.", LENGTH),
    opt("--repeat", "Its repeat.", LENGTH, metavar="WIDTH HEIGHT", nargs=2),
    opt("--repeat-kind", "Half-drop: WIDTH of a column; brick: HEIGHT of a row.", REPEATS),
)


def photo_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Gives a command the options of a photo."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def read_photo(options: dict[str, Any], **more: Any) -> Any:
    """The print of ``PHOTO``, read as the options say."""
    known = calibration(options, **more)
    words = corrections(options)
    return qg.read(options["photo"], options["width"], calibration=known, **words)


def at_terminal() -> bool:
    """Whether somebody is there to answer."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def ask_owner(swatch: Any) -> Mapping[str, str | float]:
    """What the owner of a print answers to the reading's question, as corrections; nothing where
    there is no question or nobody at a terminal."""
    question = swatch.reading.question
    if question is None or not at_terminal():
        return {}
    click.echo(f"\n{question.text}", err=True)
    for number, answer in enumerate(question.answers, 1):
        click.echo(f"  {number}  {answer.words}", err=True)
    keys = click.Choice([*map(str, range(1, len(question.answers) + 1)), ""])
    words = f"Your answer (Enter: {question.unanswered})"
    said = click.prompt(
        words, default="", type=keys, show_default=False, show_choices=False, err=True
    )
    return question.asked(int(said)) if said else {}


def corrections(options: dict[str, Any]) -> dict[str, Any]:
    """What was said of a print, as of ``read``."""
    names = {"direction": "direction", "up_deg": "up", "motif_in": "motif"}
    names["repeat_kind"] = "repeat_kind"
    said = {k: v for k, name in names.items() if (v := options[name]) is not None}
    if options["repeat"]:
        said["repeat_width_in"], said["repeat_height_in"] = options["repeat"]
    return said


def calibration(options: dict[str, Any], size: tuple[float, float] | None = None) -> qg.Calibration:
    """What was said of the photo; ``size``: of the rectangle whose corners are given."""

    def pairs(v: tuple[float, ...] | None) -> Any:
        return None if v is None else tuple(zip(v[::2], v[1::2], strict=True))

    auto = options["white"] == "auto"
    white = None if auto or options["white"] is None else tuple(round(v) for v in options["white"])
    return qg.Calibration(
        corners=pairs(options["corners"]),
        rectangle_in=size,
        points=pairs(options["points"]),
        apart_in=options["apart"],
        white=white,
        reflectance=options["reflectance"],
        even=options["even_light"],
        find_white=auto,
        whole=options["whole"],
    )
