"""Patchwork quilts from one print: read it, match it, show it at true scale, cut it, sew it.

Six jobs, each a function that takes a design in any form: the key of a pattern, such as
``"gull-cove"`` (all: ``[p.key for p in qg.load_patterns()]``), the file of a design or pattern, the
folder of a kit, a :class:`Design`, :class:`Pattern` or :class:`Block`, or what holds a design: a
:class:`Proposal`, a preview, a cutting, a kit, a row of a match:

* :func:`read` a print from a photo; :func:`match` patterns to it, :func:`companions` from a shelf;
* :func:`lay_out` a quilt and :func:`preview` it in real cloth;
* :func:`cut` it (:func:`cut_together` several, :func:`cut_list` of a file), :func:`sew` it,
  :func:`templates` to trace; :func:`kit` of everything;
* :func:`advise` does all of this from one photo.

Every answer prints as words and is a picture in a notebook; it has ``to_json()`` for programs,
``lines()``, ``svg()``, ``png(px)``, ``scenes()`` (its pages) and ``save(path)`` by the ending:
``.json``, ``.txt``, ``.svg``, ``.png``, ``.pdf``. Cutting and kits have ``save_folder(folder)``.
What they were made of is at hand: ``read(...).reading`` and ``.fabric``, ``preview(...).quilt``,
``cut(...).plan``, ``kit(...).proposal``, ``match(...).fits``, ``companions(...).fabrics``;
templates are iterated (``t.polygon``).

What they speak of: :class:`Fabric` and :class:`Repeat`; :class:`Block` s of :class:`Patch` es and
:class:`Pattern` s, made by :func:`make_block` and :func:`make_pattern`, written by
:func:`write_pattern`, loaded by :func:`load_blocks` and :func:`load_patterns`; :class:`Design` s,
loaded by :func:`load_design`, written by :func:`write_design`; :class:`Quilt` s of
:class:`Piece` s; :class:`CutOptions` and :class:`Terms` of cutting. Lengths are inches (the jobs
take texts such as ``"110 cm"``, too), x right, y down, angles degrees clockwise. All errors are
:class:`QuiltError`: where, which rule, what was found, what would be accepted;
:class:`ContentError` lists the :class:`Finding` s of a file.

>>> import quiltgeom as qg
>>> quilt = qg.lay_out("harbour-windows", size=(44, 60))
>>> quilt, {p.role for p in quilt} == {"focus", "background", "accent"}
(<Quilt harbour-windows 44 x 59.75 in, 2 x 3 blocks, 38 patches>, True)
>>> rust = qg.Fabric("rust", colour="#b5532a")
>>> shown = qg.preview("harbour-windows", {"accent": rust, "background": "#f3ead8"})
>>> shown.png(300)[1:4], shown.svg()[-7:-1]
(b'PNG', '</svg>')
>>> qg.cut("harbour-windows", have={"focus": (36, 40)}).plan.fits  # length along the selvage, width
True

Each name is loaded when it is first used, so that ``import quiltgeom`` itself is light.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from quiltgeom.cutting.buying.terms import Terms
    from quiltgeom.cutting.options import CutOptions
    from quiltgeom.errors import ContentError, Finding, QuiltError
    from quiltgeom.fabric.photo.prepare import Calibration
    from quiltgeom.jobs.advise import advise
    from quiltgeom.jobs.choose_pattern import match
    from quiltgeom.jobs.companion_search import companions
    from quiltgeom.jobs.cut import cut, cut_list, cut_together
    from quiltgeom.jobs.make import kit, sew, templates
    from quiltgeom.jobs.read_print import read
    from quiltgeom.jobs.show import lay_out, preview
    from quiltgeom.library.blocks import load_blocks
    from quiltgeom.library.design_file import load_design, write_design
    from quiltgeom.library.made import make_block, make_pattern
    from quiltgeom.library.patterns import load_patterns
    from quiltgeom.library.toml_text import write_pattern
    from quiltgeom.model.block import Block, Patch
    from quiltgeom.model.design import Design
    from quiltgeom.model.fabric import Fabric, Repeat
    from quiltgeom.model.pattern import Pattern
    from quiltgeom.model.quilt import Piece, Quilt
    from quiltgeom.proposal.proposal import Proposal

__version__ = "0.1.0"

_ROOMS = {
    "cutting.buying.terms": "Terms",
    "cutting.options": "CutOptions",
    "errors": "ContentError Finding QuiltError",
    "fabric.photo.prepare": "Calibration",
    "jobs.advise": "advise",
    "jobs.choose_pattern": "match",
    "jobs.companion_search": "companions",
    "jobs.cut": "cut cut_list cut_together",
    "jobs.make": "kit sew templates",
    "jobs.read_print": "read",
    "jobs.show": "lay_out preview",
    "library.blocks": "load_blocks",
    "library.design_file": "load_design write_design",
    "library.made": "make_block make_pattern",
    "library.patterns": "load_patterns",
    "library.toml_text": "write_pattern",
    "model.block": "Block Patch",
    "model.design": "Design",
    "model.fabric": "Fabric Repeat",
    "model.pattern": "Pattern",
    "model.quilt": "Piece Quilt",
    "proposal.proposal": "Proposal",
}
_WHERE = {name: room for room, names in _ROOMS.items() for name in names.split()}

__all__ = [
    "Block",
    "Calibration",
    "ContentError",
    "CutOptions",
    "Design",
    "Fabric",
    "Finding",
    "Patch",
    "Pattern",
    "Piece",
    "Proposal",
    "Quilt",
    "QuiltError",
    "Repeat",
    "Terms",
    "advise",
    "companions",
    "cut",
    "cut_list",
    "cut_together",
    "kit",
    "lay_out",
    "load_blocks",
    "load_design",
    "load_patterns",
    "make_block",
    "make_pattern",
    "match",
    "preview",
    "read",
    "sew",
    "templates",
    "write_design",
    "write_pattern",
]


def __getattr__(name: str) -> Any:
    if name in _WHERE:
        return getattr(import_module(f"quiltgeom.{_WHERE[name]}"), name)
    raise AttributeError(f"module 'quiltgeom' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *_WHERE])
