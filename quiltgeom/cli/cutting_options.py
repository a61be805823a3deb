"""Options of commands that plan the cutting, and what they mean to the library."""

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from quiltgeom.cli.types import LENGTH, Number, Parsed, opt
from quiltgeom.cutting.buying.cloth_sizes import NAMED_CLOTH, Cloths, parse_cloths
from quiltgeom.cutting.buying.offers import Bolt, parse_bolt
from quiltgeom.cutting.buying.terms import Terms, parse_step, width_of
from quiltgeom.cutting.options import MANNERS, METHODS, CutOptions
from quiltgeom.errors import QuiltError, QuiltValueError, shown
from quiltgeom.geometry.allowance import check_seam
from quiltgeom.model.design import Design
from quiltgeom.units import RULERS, Units, parse_length

_FROM_ZERO = Parsed("length", lambda text: parse_length(text, allow_zero=True))


def _seam(text: str, none: bool) -> float:
    try:
        value = parse_length(text, allow_zero=True)
    except QuiltError:
        value = math.nan
    return check_seam(value, none=none, found=shown(text))


def seam_option(*, none: bool = False) -> Callable[..., Any]:
    """``--seam``, the same for every command; ``none``: 0 is accepted, too."""
    usual = "1/8in to 1in, such as 3/8in or 1cm (the design's; 1/4in, or 0.75cm with --units cm)"
    return opt(
        "--seam",
        f"Seam allowance, {usual}{'; 0 for none' * none}.",
        Parsed("length", lambda text: _seam(text, none)),
    )


UNITS = opt(
    "--units",
    "Inches or centimetres, in all that is cut and written (the design's; in). In "
    "centimetres sizes are cut to the millimetre, and a pattern's usual size becomes one of half "
    "centimetres.",
    [*RULERS],
)
"""``--units``, the same for every command."""


def with_options(design: Design, options: dict[str, Any]) -> Design:
    """The design with the variant, the units and the seam allowance that were asked for."""
    design = design.in_variant(options["variant"])
    seam, units = options["seam"], options["units"]
    return replace(design, seam=design.seam if seam is None else seam, units=units or design.units)


def _have(text: str) -> tuple[str, Cloths]:
    role, mark, cloths = text.rpartition("=")
    if mark and not role.strip():
        raise QuiltValueError(f"--have: found {text!r}; accepted: ROLE=LENGTHxWIDTH")
    try:
        return role.strip(), parse_cloths(cloths)
    except QuiltError as e:
        raise QuiltValueError(f"--have {role.strip()}: {e}") from e


def _method(text: str) -> tuple[str, str]:
    role, mark, method = (part.strip() for part in text.partition("="))
    if not (role and mark and method):
        raise QuiltValueError(
            f"--method: found {text!r}; accepted: ROLE=METHOD, e.g. accent=pairs; methods: "
            f"{', '.join(METHODS)}"
        )
    return role, method


def _width(text: str) -> tuple[str, float]:
    role, mark, length = text.rpartition("=")
    if mark and not role.strip():
        raise QuiltValueError(f"--width: found {shown(text)}; accepted: LENGTH or ROLE=LENGTH")
    return role.strip() or "*", parse_length(length.strip(), what=f"width {role.strip()}".strip())


_OPTIONS = (
    seam_option(),
    UNITS,
    opt(
        "--have have ROLE=[N*]LENGTHxWIDTH",
        "Cloth at hand, length along the selvage first, e.g. focus=36inx40in; may be given "
        f"again for more pieces. Names for LENGTHxWIDTH: {', '.join(NAMED_CLOTH)}.",
        Parsed("cloth", _have),
        multiple=True,
    ),
    opt(
        "--width widths [ROLE=]LENGTH",
        "Usable width of cloth to buy (40in; 100cm); with a role, of that one alone. "
        "May be given again.",
        Parsed("width", _width),
        multiple=True,
    ),
    opt(
        "--bolt bolts [ROLE:]WIDTH=PRICE",
        "A width that the shop has, and its price per yard (per metre where --step "
        "is in centimetres), e.g. 42in=11.50 or focus:42in=12. Given again for each "
        "width: the cheapest is taken for every role.",
        Parsed("bolt", parse_bolt),
        multiple=True,
    ),
    opt(
        "--step",
        "Steps in which cloth is sold, e.g. 10cm (1/8yd; 10cm with --units cm).",
        Parsed("length", parse_step),
    ),
    opt(
        "--straighten",
        "Lost in squaring up the cloth's end (1in; 2.5cm; 0 if measured afterwards).",
        _FROM_ZERO,
    ),
    opt("--shrink", "Percent lost in washing, both ways (0).", Number(0, 30), default=0.0),
    opt("--spare", "A spare strip across every cloth, e.g. 2.5in (none).", _FROM_ZERO, default="0"),
    opt("--binding binding_role ROLE", "Fabric of the binding (accent); 'none' leaves it out."),
    opt(
        "--method methods ROLE=METHOD",
        f"How to cut a role: {', '.join(METHODS)}.",
        Parsed("method", _method),
        multiple=True,
    ),
    opt(
        "--manner",
        "; ".join(f"{k}: {v}" for k, v in MANNERS.items()) + ".",
        [*MANNERS],
        default="auto",
    ),
    opt(
        "--constants",
        "Triangles by the trade's additions (7/8, 1 1/4), or the exact ones rounded "
        "up (trade; exact in centimetres).",
        ["trade", "exact"],
    ),
    opt("--lengthwise ROLE", "Its borders along the selvage.", multiple=True),
    opt("--bias", "Bias binding from a square, not straight strips."),
    opt("--binding-strip", "Width of binding (2.5in; 6.5cm).", LENGTH),
    opt("--back-width", "Usable width of the backing cloth (40in; 100cm).", LENGTH),
    opt("--seconds", "Time limit of the whole plan; none unless given.", Number(0.1, 600)),
)


def cutting_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options of the cutting to a command; :func:`planning` reads them."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def planning(options: dict[str, Any], units: Units = "in") -> dict[str, Any]:
    """The options, in the units of the design, as keyword arguments of
    :func:`~quiltgeom.documents.cutting_pages.cutting_folder.plan_design`.

    Raises:
        QuiltValueError: cloth at hand without a role.
    """
    if any(not role for role, _ in options["have"]):
        raise QuiltValueError("--have: found cloth without a role; accepted: ROLE=LENGTHxWIDTH")
    cloths: dict[str, Cloths] = {}
    for role, pieces in options["have"]:
        cloths[role] = cloths.get(role, ()) + pieces
    own = {k: options[k] for k in ("binding_strip", "back_width")} | {"rule": options["constants"]}
    own = {k: v for k, v in own.items() if v is not None}
    own |= {k: options[k] for k in ("lengthwise", "spare", "manner")}
    binding = "bias" if options["bias"] else "straight"
    methods = dict(options["methods"])
    chosen = CutOptions.usual(RULERS[units], methods=methods, binding=binding, **own)
    bolts: dict[str, tuple[Bolt, ...]] = {}
    for role, bolt in options["bolts"]:
        bolts[role] = (*bolts.get(role, ()), bolt)
    return {
        "have": cloths,
        "width": dict(options["widths"]),
        "bolts": bolts,
        "seconds": options["seconds"],
        "binding_role": "" if options["binding_role"] == "none" else options["binding_role"],
        "options": chosen,
        "terms": buying(options, units),
    }


def buying(options: dict[str, Any], units: Units = "in") -> Terms:
    """How the shop sells, and what straightening and washing take."""
    own = {k: options[k] for k in ("step", "straighten") if options[k] is not None}
    return replace(Terms.usual(RULERS[units]), shrink=options["shrink"] / 100, **own)


def buying_list(options: dict[str, Any]) -> tuple[Terms, float]:
    """The same for a plain list, and the width of cloth to buy."""
    terms = buying(options, options["units"] or "in")
    return terms, width_of(dict(options["widths"]), "*", terms.ruler)
