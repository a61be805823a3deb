"""A reading in words, for people."""

import math

from quiltgeom.fabric.reading.directions.direction import SURE_DIRECTION
from quiltgeom.fabric.reading.reading import Reading

_SHIFTS = {
    "half-drop": "half-drop: the width is that of one column; each next is half a height lower",
    "brick": "brick: the height is that of one row; each next is shifted by half the width",
}


def facts(reading: Reading) -> list[tuple[str, str]]:
    """The reading as (heading, words) for people."""
    r, d, m = reading.repeat, reading.direction, reading.motif
    size = f" {r.size_in[0]:.2f} x {r.size_in[1]:.2f} in" if r.size_in else ""
    if r.kind == "stripe":
        size = f" every {math.hypot(*r.vectors_in[0]):.2f} in"
    motif = "none found"
    if m.typical is not None and m.largest is not None:
        motif = f"{reading.scale}: {m.typical:.1f} in, largest {m.largest:.1f} in"
    sure = "" if d.confidence >= SURE_DIRECTION else " (unsure)"
    figure = "" if d.figure in ("print", "plain") else f"{d.figure}, "
    again = ", ".join(f.kind for f in reading.photo if f.again)
    return [
        ("Design", reading.design.name),
        ("Repeat", f"{r.kind}{size}"),
        ("Direction", f"{figure}{d.kind}{sure}"),
        ("Motif", motif),
        ("Loudness", f"{reading.loudness:.2f} of 1"),
        ("Value", f"{reading.value.name} ({reading.value.munsell:.1f} of 10)"),
        ("Colour", f"{reading.chroma.name}, {reading.chroma.temperature}"),
        *([("Photo", f"take it again: {again}")] if again else []),
    ]


def describe(reading: Reading) -> list[str]:
    """The reading in lines of text, with the palette, reasons and notes."""
    lines = [f"{head + ':':<11}{body}" for head, body in facts(reading)]
    lines += [f"{'':<11}{c.share:>4.0%}  {c.hex}  {c.name}" for c in reading.palette]
    if reading.design.details:
        lines.append(f"For cutting: {reading.design.details}")
    for head, why in (("repeat", reading.repeat.reason), ("direction", reading.direction.reason)):
        if why:
            lines.append(f"Why ({head}): {why}")
    means = _SHIFTS.get(reading.repeat.kind)
    lines += [f"Note: {n}" for n in (*([means] if means else []), *reading.remarks)]
    return lines + (reading.question.lines() if reading.question else [])
