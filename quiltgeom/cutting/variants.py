"""Other choices of method that may need less of a scarce cloth than the maker's own."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from quiltgeom.cutting.buying.cloth_sizes import Cloths
from quiltgeom.cutting.methods.constants import has_trade_constants
from quiltgeom.cutting.options import CutOptions
from quiltgeom.model.quilt import Quilt


@dataclass(frozen=True, slots=True)
class Variant:
    """One choice of methods.

    Attributes:
        options: the maker's, or others.
        narrow: strips no longer than the narrowest of several cloths is wide.
        words: what is different, for people; ``""`` for the maker's own choices.
    """

    options: CutOptions
    narrow: bool = False
    words: str = ""


def variants(quilt: Quilt, options: CutOptions, cloths: Mapping[str, Cloths]) -> Iterator[Variant]:
    """The maker's choices; after them, for cloth at hand, others that may need less: strips for
    the narrowest cloth, exact constants, corners folded over wherever that can be, or nowhere.

    (Triangles two, four or eight at a time never need less cloth than squares cut once: a pair of
    squares gives as many triangles of both fabrics, and the larger squares hold no more than the
    small ones side by side.)

    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("sail-loft"))
    >>> [v.words for v in variants(quilt, CutOptions(), {})]
    ['']
    """
    yield Variant(options)
    if not cloths:
        return
    if any(len({w for _, w in c}) > 1 for c in cloths.values()):
        yield Variant(options, True, "strips as long as the narrowest cloth is wide")
    if options.rule == "trade" and has_trade_constants(options.seam):
        yield Variant(replace(options, rule="exact"), words="triangles by the exact constants")
    free = [r for r, n in quilt.count_by_role.items() if n and options.method(r) == "auto"]
    for method, words in (("flip", "corners folded over"), ("squares", "patch by patch")):
        methods = {**options.methods, **dict.fromkeys(free, method)}
        if free and quilt_allows(quilt, method):
            yield Variant(replace(options, methods=methods), words=words)


def quilt_allows(quilt: Quilt, method: str) -> bool:
    """Whether a method can change anything: there are triangles, or strips to slice."""
    triangles = any(len(p.patch.outline.points) == 3 for p in quilt)
    sliced = any(r.cut == "strip" for r in quilt.roles.values())
    return triangles or (method == "squares" and sliced)
