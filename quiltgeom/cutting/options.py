"""How a maker wants a quilt cut: methods, constants, borders, binding."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from quiltgeom import checks
from quiltgeom.cutting.methods.constants import Rule
from quiltgeom.geometry.allowance import SEAM, check_seam
from quiltgeom.units import INCH_IN_CM, INCHES, Ruler

METHODS = {
    "auto": "as the pattern asks: strip sets where it cuts from strips, else patch by patch",
    "squares": "patch by patch: rectangles, and triangles from squares cut once or twice",
    "pairs": "half-square triangles two at a time from a pair of squares",
    "fours": "half-square triangles four at a time (bias edges; cloth without direction)",
    "eights": "half-square triangles eight at a time",
    "geese": "flying geese four at a time without waste",
    "flip": "stitch and flip: squares sewn over the corners of squares and rectangles",
    "strips": "strip sets with slices; slanted patches from strips",
    "templates": "every patch that is no rectangle by its template",
    "foundation": "larger than needed, to be sewn on foundation papers and trimmed there",
}
"""Ways of cutting that a maker may choose for a role."""

Manner = Literal["auto", "easy", "thrifty"]
MANNERS: dict[str, str] = {
    "auto": "easy where that costs no more than one step of the shop, else thrifty",
    "easy": "strips no wider than a long ruler, one size to a stack, three stages",
    "thrifty": "as little cloth as can be",
}
"""Manners of cutting that a maker may choose."""


@checks.spelled
@dataclass(frozen=True)
class CutOptions:
    """Choices of the maker; all have a default.

    Attributes:
        methods: by role, a word of :data:`METHODS`. A way that makes a unit of two fabrics holds
            for both of them.
        rule: ``trade`` constants, or ``exact`` ones (rounded up to the ruler all the same).
        lengthwise: roles whose border strips are cut along the selvage, in one length.
        mitre_extra: inches added to every strip of a mitred border, to be trimmed at the corners.
        binding: ``straight`` strips across the cloth, or ``bias`` from a square.
        binding_strip: width of the binding strips, inches.
        seam: seam allowance, inches, from 1/8 to 1: of every cut size, and of the seams in the back
            and in bias binding.
        back_width: usable width of the backing cloth, inches (40; wide backings have 108).
        back_around: the back is larger than the top by this on every side, inches.
        spare: width of a strip right across the cloth that every fabric yields beside what the
            quilt needs, inches; 0: none.
        manner: of cutting, a word of :data:`MANNERS`.
        ruler: by which all is cut and written; in centimetres constants are exact.

    >>> CutOptions(methods={"accent": "pair"})
    Traceback (most recent call last):
    ...
    quiltgeom.errors.ContentError: cutting: method of accent: found 'pair'; accepted: auto, \
squares, pairs, fours, eights, geese, flip, strips, templates, foundation
    """

    methods: Mapping[str, str] = field(default_factory=dict)
    rule: Rule = "trade"
    lengthwise: tuple[str, ...] = ()
    mitre_extra: float = 2.0
    binding: Literal["straight", "bias"] = "straight"
    binding_strip: float = 2.5
    seam: float = SEAM
    back_width: float = 40.0
    back_around: float = 4.0
    spare: float = 0.0
    manner: Manner = "auto"
    ruler: Ruler = INCHES

    def __post_init__(self) -> None:
        check = checks.Checks("cutting")
        bad = check.fields(
            self,
            seam=checks.ANY,
            mitre_extra=checks.number(0, 12, " in"),
            binding_strip=checks.number(1, 6, " in"),
            back_width=checks.number(10, 130, " in"),
            back_around=checks.number(0, 12, " in"),
        )
        check.passes(check_seam, self.seam)
        if self.spare != 0 and "spare" not in bad:
            check.that(self.spare, "spare strip", checks.number(0.125, 36, " in, or 0 for none"))
        if not check.findings:
            for role, method in self.methods.items():
                check.that(method, f"method of {role}", checks.choice(METHODS))
            if self.ruler.metric and self.rule == "trade":
                exact = "exact (the trade's additions are inches)"
                check.add("constants", "trade, in centimetres", exact)
        check.done()

    @classmethod
    def usual(cls, ruler: Ruler, **chosen: Any) -> CutOptions:
        """What is usual where people cut by this ruler, but for what is chosen.

        In centimetres (common practice, no source): binding strips 6.5 cm, backing 100 cm wide and
        10 cm larger all round.

        >>> from quiltgeom.units import CENTIMETRES
        >>> CutOptions.usual(INCHES) == CutOptions(), CutOptions.usual(CENTIMETRES).rule
        (True, 'exact')
        """
        if ruler.metric:
            sizes = {"binding_strip": 6.5, "back_width": 100.0, "back_around": 10.0}
            sizes["mitre_extra"] = 5.0
            usual = {k: v / INCH_IN_CM for k, v in sizes.items()}
            chosen = {"rule": "exact", "seam": ruler.seam, **usual, **chosen}
        return cls(**chosen, ruler=ruler)

    def method(self, role: str) -> str:
        """The word for a role."""
        return self.methods.get(role, "auto")
