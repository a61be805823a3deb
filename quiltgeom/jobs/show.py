"""A design laid out, in its real cloth, and in greys."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from quiltgeom.cutting.as_cut import CutPatch
from quiltgeom.documents.cutting_pages.cutting_folder import read_patches
from quiltgeom.jobs.arguments import checks_arguments
from quiltgeom.model.design import Design
from quiltgeom.model.quilt import Quilt
from quiltgeom.render.greyscale_check import Separation, separation
from quiltgeom.render.preview import Cloths, DesignLike, Preview, as_design, make_quilt
from quiltgeom.render.preview import preview as draw_preview


@checks_arguments(Design)
def lay_out(what: DesignLike, **changes: Any) -> Quilt:
    """Place all patches of a quilt.

    Args:
        what: a design in any form, see :func:`as_design`.
        changes: fields of the design: ``size=(44, 60)``, or ``rows=3, columns=4,
            block_size=9``, ``borders``, ``sashing``, ... Numbers are inches whatever the
            ``units`` (``"in"`` or ``"cm"``) in which it is written; other lengths are texts.

    >>> lay_out("harbour-windows", size=(44, 60)).height
    59.75
    >>> lay_out("harbour-windows", size=("110 cm", "150 cm"), units="cm")
    <Quilt harbour-windows 111 x 150 cm, 2 x 3 blocks, 38 patches>
    """
    return make_quilt(as_design(what, **changes))


@checks_arguments(draw_preview, Design)
def preview(
    what: DesignLike,
    fabrics: Cloths | None = None,
    *,
    as_cut: str | Path | Iterable[CutPatch] | None = None,
    **options: Any,
) -> Preview:
    """The quilt in its real fabrics, at true scale, the right way up.

    Args:
        what: a design in any form, see :func:`as_design`.
        fabrics: by role, added to the design's own: a fabric, ``"#rrggbb"``, what ``read`` gave.
        as_cut: show each patch where this plan of the design (a ``plan.json``, or its patches)
            cuts it from the cloth.
        options: ``style="cloth"`` (or ``flat``, ``values``, ``lines``), ``seams=True`` for a line
            along every seam; all else are fields of the design.

    >>> preview("gull-cove", rows=2, columns=2)
    <Preview: Gull Cove: about 31 1/2" x about 31 1/2" finished, 97 patches>
    """
    drawing = {k: options.pop(k) for k in ("style", "seams") if k in options}
    design = as_design(what, fabrics=fabrics, **options)
    if isinstance(as_cut, str | Path):
        as_cut = read_patches(Path(as_cut), design)
    return draw_preview(design, as_cut=as_cut, **drawing)


@checks_arguments(Design)
def values(what: DesignLike, fabrics: Cloths | None = None, **changes: Any) -> Separation:
    """The greyscale check: do the pieced shapes separate in light and dark alone?

    Args:
        what: a design in any form, see :func:`as_design`.
        fabrics: by role, added to the design's own.
        changes: fields of the design.

    >>> print(values("gull-cove", {"background": "#f3ead8", "accent": "#e9d5a6"}).lines()[0])
    does not suit
    """
    return separation(as_design(what, fabrics=fabrics, **changes))
