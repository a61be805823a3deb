"""Single shapes as files: SVG at real size, and DXF for cutting machines."""

import io
import re
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path as FilePath
from typing import Any

from quiltgeom.errors import QuiltError
from quiltgeom.files import safe_name, write_whole
from quiltgeom.outputs.folder import output_folder
from quiltgeom.outputs.stamps import stamped
from quiltgeom.render.scene import Layer, Scene
from quiltgeom.render.svg import write_svg
from quiltgeom.tracing.build import TemplateSet
from quiltgeom.tracing.draw import Placed, template_items

EDGE = 0.1
"""Inches round the shape in its SVG, so that no line is cut in half."""


def template_scene(placed: Placed, width: float, height: float, title: str = "") -> Scene:
    """One template alone: a layer ``cut`` with nothing but the closed cutting line, then the rest.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> from quiltgeom.tracing.build import block_templates
    >>> t = block_templates(load_blocks().get("pinwheel"), 4).templates[0]
    >>> [layer.label for layer in template_scene(Placed(t, 0, 0), 3, 3).layers]
    ['cut', 'marks']
    """
    cut, *rest = template_items(placed)
    layers = [Layer((cut,), label="cut")]
    if placed.template.window:
        layers.append(Layer((rest.pop(0),), label="window"))
    layers.append(Layer(tuple(rest), label="marks"))
    return Scene(width, height, tuple(layers), title=title)


def write_template_svgs(
    templates: TemplateSet,
    folder: str | FilePath,
    *,
    inputs: Sequence[FilePath] = (),
    force: bool = False,
) -> list[FilePath]:
    """One SVG per template, at real size, named by its label and role, in a folder of their own;
    see :func:`~quiltgeom.outputs.folder.output_folder`."""
    out = []
    with output_folder(folder, "shapes", inputs=inputs, force=force) as filling:
        for t in templates.templates:
            w, h = t.size
            title = f"{templates.title}, template {t.label}, {t.role}, cut {t.count}"
            scene = template_scene(Placed(t, EDGE, EDGE), w + 2 * EDGE, h + 2 * EDGE + 0.3, title)
            name = f"template-{safe_name(t.label)}-{safe_name(t.role)}.svg"
            out.append(filling.final(write_svg(scene, filling.path / name)))
    return out


def write_dxf(templates: TemplateSet, path: str | FilePath) -> FilePath:
    """All templates side by side in one DXF file (inches); see :func:`dxf_text`."""
    return write_whole(path, stamped(dxf_text(templates).encode("utf-8"), ".dxf"))


def dxf_text(templates: TemplateSet) -> str:
    """Layer CUT: closed cutting lines; SEAM (or WINDOW, to be cut out as well): closed seam lines;
    TEXT: labels. Arcs stay arcs.

    Raises:
        QuiltError: the optional package ezdxf is not installed.
    """
    try:
        ezdxf: Any = import_module("ezdxf")
    except ImportError as e:
        raise QuiltError("DXF needs the package ezdxf: pip install 'quiltgeom[dxf]'") from e
    document: Any = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 1  # inches
    for key in ("$TDCREATE", "$TDUPDATE", "$TDUCREATE", "$TDUUPDATE"):
        document.header[key] = 2451544.5  # a fixed date: same input, same bytes
    inner = "WINDOW" if any(t.window for t in templates.templates) else "SEAM"
    for layer, colour in (("CUT", 7), (inner, 8), ("TEXT", 8)):
        document.layers.add(layer, color=colour)
    space: Any = document.modelspace()
    x = 0.0
    for t in templates.templates:
        placed = Placed(t, x, 0.0)
        for layer, outline in (("CUT", placed.cut), (inner, placed.seam)):
            # DXF's y points up: flipping it turns every arc the other way
            corners = zip(outline.points, outline.bulges, strict=True)
            vertices = [(x, -y, -b) for (x, y), b in corners]
            attributes = {"layer": layer}
            space.add_lwpolyline(vertices, format="xyb", close=True, dxfattribs=attributes)
        label = f"{t.label} {t.role} cut {t.count}"
        text = space.add_text(label, height=0.15, dxfattribs={"layer": "TEXT"})
        text.set_placement((x, -t.size[1] - 0.25))
        x += t.size[0] + 0.5
    out = io.StringIO()
    document.write(out)
    return _without_clock(out.getvalue())


def _without_clock(text: str) -> str:
    """The library stamps times and random identifiers into the head; put fixed ones there."""
    lines = text.split("\n")
    for k, line in enumerate(lines):
        if line.strip() in ("$TDCREATE", "$TDUPDATE", "$TDUCREATE", "$TDUUPDATE"):
            lines[k + 2] = "2451544.5"
        elif line.strip() in ("$FINGERPRINTGUID", "$VERSIONGUID"):
            lines[k + 2] = "{00000000-0000-0000-0000-000000000000}"
    return re.sub(r"@ \d{4}-\d\d-\d\dT\S+", "@ 2000-01-01T00:00:00+00:00", "\n".join(lines))
