"""A design laid out, and in its real cloth."""

from typing import Any

from quiltgeom.jobs.door import door
from quiltgeom.model.design import Design
from quiltgeom.model.quilt import Quilt
from quiltgeom.render.preview import Cloths, DesignLike, Preview, as_design, make_quilt
from quiltgeom.render.preview import preview as draw_preview


@door(Design)
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


@door(draw_preview, Design)
def preview(what: DesignLike, fabrics: Cloths | None = None, **options: Any) -> Preview:
    """The quilt in its real fabrics, at true scale, the right way up.

    Args:
        what: a design in any form, see :func:`as_design`.
        fabrics: by role, added to the design's own: a fabric, ``"#rrggbb"``, what ``read`` gave.
        options: ``style="cloth"`` (or ``flat``, ``values``, ``lines``), ``seams=True`` for a line
            along every seam, ``as_cut``; all else are fields of the design.

    >>> preview("gull-cove", rows=2, columns=2)
    <Preview: Gull Cove: about 31 1/2" x about 31 1/2" finished, 97 patches>
    """
    drawing = {k: options.pop(k) for k in ("style", "seams", "as_cut") if k in options}
    return draw_preview(as_design(what, fabrics=fabrics, **options), **drawing)
