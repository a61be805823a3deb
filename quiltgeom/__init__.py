"""Patchwork quilt geometry, true-scale mockups of real fabric, and printable templates.

The main names can be taken from here; each is loaded when it is first used, so that
``import quiltgeom`` itself is light.

>>> import quiltgeom
>>> quiltgeom.make_quilt(quiltgeom.Design("harbour-windows", rows=2, columns=2)).rows
2
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from quiltgeom.errors import ContentError, Finding, QuiltError
    from quiltgeom.layout.quilt_layout import fit_size, lay_out
    from quiltgeom.library.blocks import load_blocks
    from quiltgeom.library.design_file import load_design
    from quiltgeom.library.patterns import load_patterns
    from quiltgeom.model.block import Block, Patch
    from quiltgeom.model.design import Design
    from quiltgeom.model.fabric import Fabric, Repeat
    from quiltgeom.model.pattern import Pattern
    from quiltgeom.model.quilt import Piece, Quilt
    from quiltgeom.render.preview import Preview, make_quilt, preview

__version__ = "0.1.0"

_WHERE = {
    "Block": "model.block",
    "ContentError": "errors",
    "Design": "model.design",
    "Fabric": "model.fabric",
    "Finding": "errors",
    "Patch": "model.block",
    "Pattern": "model.pattern",
    "Piece": "model.quilt",
    "Preview": "render.preview",
    "Quilt": "model.quilt",
    "QuiltError": "errors",
    "Repeat": "model.fabric",
    "fit_size": "layout.quilt_layout",
    "lay_out": "layout.quilt_layout",
    "load_blocks": "library.blocks",
    "load_design": "library.design_file",
    "load_patterns": "library.patterns",
    "make_quilt": "render.preview",
    "preview": "render.preview",
}

__all__ = [
    "Block",
    "ContentError",
    "Design",
    "Fabric",
    "Finding",
    "Patch",
    "Pattern",
    "Piece",
    "Preview",
    "Quilt",
    "QuiltError",
    "Repeat",
    "fit_size",
    "lay_out",
    "load_blocks",
    "load_design",
    "load_patterns",
    "make_quilt",
    "preview",
]


def __getattr__(name: str) -> Any:
    if name in _WHERE:
        return getattr(import_module(f"quiltgeom.{_WHERE[name]}"), name)
    raise AttributeError(f"module 'quiltgeom' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *_WHERE])
