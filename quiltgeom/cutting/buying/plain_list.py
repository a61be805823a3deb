"""A plain list of rectangles, as a maker writes it down, for the same solver."""

import csv
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from quiltgeom.cutting.buying.cloth_sizes import Cloths, as_cloths
from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.cutting.cutting_plan import FabricPlan, plan_list
from quiltgeom.cutting.letters import Letters, letter, line_key
from quiltgeom.cutting.listing import CAUTION, fabric_data, fabric_text
from quiltgeom.cutting.methods.unit import CutUnit, Member
from quiltgeom.cutting.order_lines import order_lines
from quiltgeom.cutting.solver.solve import EFFORT
from quiltgeom.cutting.wanted import spare_strip
from quiltgeom.errors import Finding, QuiltError, raise_findings, shown
from quiltgeom.model.fabric import Fabric
from quiltgeom.texts import read_text
from quiltgeom.units import Ruler, parse_length

_MOST = 10_000
"""Pieces of a list."""
_LONGEST = 1000.0
"""A side of a piece, inches."""
_COLUMNS = ("width", "height", "count", "name", "may_turn")
_YES, _NO = ("yes", "true", "1"), ("no", "false", "0", "")


@dataclass(frozen=True, slots=True)
class ListedPiece:
    """Equal rectangles of a list, cut sizes in inches.

    Attributes:
        width, height: across the cloth, and along it; up to the ruler when they are cut.
        count: how many.
        name: what they are for.
        may_turn: whether a quarter turn is allowed.
        where: file and line, for what is said about it.
    """

    width: float
    height: float
    count: int = 1
    name: str = ""
    may_turn: bool = False
    where: str = ""


def read_pieces(path: str | Path) -> tuple[ListedPiece, ...]:
    """The pieces of a CSV file; see :func:`parse_pieces`.

    Raises:
        TextError: it cannot be read.
    """
    return parse_pieces(read_text(path, kind="UTF-8 CSV"), Path(path).name)


def parse_pieces(text: str, where: str = "list") -> tuple[ListedPiece, ...]:
    """Pieces from CSV with a line of column names: ``width``, ``height`` (along the cloth) and
    ``count``, and if wanted ``name`` and ``may_turn`` (yes or no; no, if nothing is said).

    Lengths as people write them, such as ``2 1/2`` or ``6.5cm``. Fields are parted by commas, or by
    semicolons.

    Raises:
        ContentError: with everything that is wrong, line by line.

    >>> for piece in parse_pieces("width,height,count\\n2 1/2,6.35cm,40\\n"):
    ...     print(piece.width, piece.height, piece.count, piece.may_turn)
    2.5 2.5 40 False
    """
    text = text.removeprefix("\ufeff")
    first = text.partition("\n")[0]
    reader = csv.reader(text.splitlines(), delimiter=";" if ";" in first else ",")
    try:
        rows = [(reader.line_num, [c.strip() for c in row]) for row in reader if any(row)]
    except csv.Error as e:
        raise_findings([Finding(f"{where}: line {reader.line_num}", "CSV", str(e), "RFC 4180")])
    head = [c.lower() for c in rows[0][1]] if rows else []
    findings = _head(head, where)
    raise_findings(findings)
    out = [
        _piece(dict(zip(head, row, strict=False)), len(row) - len(head), n, where, findings)
        for n, row in rows[1:]
    ]
    pieces = sum(p.count for p in out)
    if not findings and not 1 <= pieces <= _MOST:
        findings.append(Finding(where, "pieces to cut", f"{pieces:,}", f"1 to {_MOST:,}"))
    raise_findings(findings)
    return tuple(out)


def _head(head: Sequence[str], where: str) -> list[Finding]:
    known = ", ".join(_COLUMNS)
    twice = [c for c in dict.fromkeys(head) if head.count(c) > 1]
    found = [("known columns", shown(c), known) for c in head if c not in _COLUMNS]
    found += [("each column once", c, "one of them") for c in twice]
    found += [(f"a column {c}", "none", known) for c in _COLUMNS[:3] if c not in head]
    return [Finding(f"{where}: line 1", *what) for what in found]


def _piece(
    row: dict[str, str], over: int, line: int, where: str, findings: list[Finding]
) -> ListedPiece:
    """One line; what is wrong with it is added to the findings."""

    def wrong(rule: str, found: str, accepted: str) -> None:
        findings.append(Finding(f"{where}: line {line}", rule, shown(found), accepted))

    def length(what: str) -> float:
        try:
            value = parse_length(row.get(what, ""), what=what)
        except QuiltError:
            value = math.inf
        if value > _LONGEST:
            wrong(what, row.get(what, ""), "a length such as 2 1/2, 2.5in or 6.5cm, up to 1,000 in")
        return value

    if over > 0:
        wrong("as many fields as columns", f"{over} more", "a name with a comma in quotes")
    number = row.get("count", "")
    good = number.isascii() and number.isdigit() and len(number) < 6 and int(number) > 0
    if not good:
        wrong("count", number, "a whole number from 1")
    turn = row.get("may_turn", "").lower()
    if turn not in _YES + _NO:
        wrong("may_turn", turn, "yes or no")
    count, name = int(number) if good else 0, " ".join(row.get("name", "").split())
    size, place = (length("width"), length("height")), f"{where}: line {line}"
    return ListedPiece(*size, count, name, turn in _YES, place)


def plan_pieces(
    pieces: Sequence[ListedPiece],
    *,
    name: str = "pieces",
    width: float | None = None,
    cloths: tuple[float, float] | Cloths = (),
    seconds: float | None = None,
    effort: int = EFFORT,
    terms: Terms | None = None,
    spare: float = 0.0,
) -> FabricPlan:
    """Plan the cutting of a list from one fabric.

    Args:
        pieces: what to cut.
        name: of the list.
        width, cloths, seconds, effort, terms: see
            :func:`~quiltgeom.cutting.cutting_plan.plan_list`.
        spare: width of a strip across the cloth beside them, inches; 0: none.

    Raises:
        ContentError: pieces wider than the cloth, all of them.

    >>> plan = plan_pieces([ListedPiece(10, 10, 4, "aprons")])
    >>> plan.buy, plan.why
    (13.5, 'no way of cutting needs less')
    """
    terms = terms or Terms()
    ruler = terms.ruler
    usable = [terms.cloth(c) for c in as_cloths(cloths)]
    width = width or ruler.width
    across = max((c.width for c in usable), default=terms.across(width))
    raise_findings(
        Finding(
            p.where or name,
            "pieces that fit the cloth's width",
            f"{ruler.text(ruler.ceil(p.width))} across {ruler.text(across)}",
            "narrower ones, or wider cloth",
        )
        for p in pieces
        if ruler.up(min(p.width, p.height) if p.may_turn else p.width) > ruler.down(across)
    )
    kinds = sorted({_unit(p, ruler) for p in pieces}, key=lambda u: (line_key(u), u.fixed))
    numbers = {kind: k for k, kind in enumerate(kinds)}
    units = [
        replace(u, members=(Member(numbers[u], u.wide / 2, u.high / 2, 0.0),))
        for p in pieces
        for u in [_unit(p, ruler)] * p.count
    ]
    free = any(p.may_turn for p in pieces)
    cloth = Fabric(name, colour="#ffffff", direction="non-directional" if free else "one-way")
    letters = Letters({k: letter(k) for k in numbers.values()})
    return plan_list(
        name,
        cloth,
        units + spare_strip(across, spare, ruler),
        width=width,
        cloths=cloths,
        seconds=seconds,
        effort=effort,
        terms=terms,
        letters=letters,
    )


def _unit(piece: ListedPiece, ruler: Ruler) -> CutUnit:
    size, fixed = (piece.width, piece.height), not piece.may_turn
    return CutUnit.of("rectangle", *size, ruler=ruler, note=piece.name, fixed=fixed)


def list_text(plan: FabricPlan) -> str:
    """What to buy and to cut, and the order of cuts, for people; ends with the caution."""
    order = ["Order of cuts", "", *(f"  {row.text}" for row in order_lines(plan)), ""]
    return "\n".join([*fabric_text(plan), *order, CAUTION, ""])


def list_data(plan: FabricPlan) -> dict[str, Any]:
    """The plan as plain data for JSON: inches."""
    fits = plan.have is None or plan.status == "fits"
    return {"list": plan.role, "fits": fits, "fabrics": [fabric_data(plan)], "caution": CAUTION}
