"""Draws one SVG from standard input as a PNG on standard output; a process of its own.

First come the pixels per inch (an empty line if the drawing states no real size), then the PNG.
Nothing is fetched: no file, no address; entities and external parts are refused by the parser.
"""

import base64
import binascii
import contextlib
import io
import math
import re
import sys
from collections.abc import Mapping
from typing import Any
from urllib.parse import unquote_to_bytes

PPI = 200
LEAST_SIDE, USUAL_SIDE, MOST_SIDE = 1200, 2400, 3600
"""Pixels of the longer side: 200 to the inch where the drawing states its size, within bounds."""

MOST_ASPECT = 100
CPU_SECONDS = 6
MEMORY = 1_500_000_000
MOST_EMBEDDED = 40_000_000
"""Bytes of all pictures inside the drawing."""

_PICTURES = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"GIF8", b"RIFF")
_UNITS = {"in": 1.0, "cm": 1 / 2.54, "mm": 1 / 25.4, "q": 1 / 101.6, "pt": 1 / 72, "pc": 1 / 6}
_LENGTH = re.compile(r"\s*\+?(\d+\.?\d*(?:e[+-]?\d+)?|\.\d+)\s*(in|cm|mm|q|pt|pc|px|)\s*", re.I)


class RefusedError(ValueError):
    """Why this drawing is not drawn."""


def main() -> None:
    """Draw; on any trouble say what it is on standard error and end with 1."""
    _limit()
    try:
        ppi, png = _draw(sys.stdin.buffer.read())
    except BaseException as e:  # a library may raise anything on a file meant to break it
        words = f"{type(e).__name__}: {e}".replace("\n", " ")[:120]
        what = e if isinstance(e, RefusedError) else f"found what cannot be drawn ({words})"
        sys.stderr.write(f"\n{what}\n")
        sys.exit(1)
    sys.stdout.buffer.write((b"" if ppi is None else repr(ppi).encode()) + b"\n" + png)


def _limit() -> None:
    """Bounds on time and memory, where the system has them."""
    with contextlib.suppress(ImportError, OSError, ValueError):
        import resource

        for kind, most in (
            (resource.RLIMIT_CPU, CPU_SECONDS),
            (resource.RLIMIT_AS, MEMORY),
            (resource.RLIMIT_CORE, 0),
        ):
            hard = resource.getrlimit(kind)[1]
            with contextlib.suppress(OSError, ValueError):
                resource.setrlimit(kind, (most if hard < 0 else min(most, hard), hard))


def _draw(data: bytes) -> tuple[float | None, bytes]:
    from cairosvg.parser import Tree
    from cairosvg.surface import PNGSurface

    embedded, png = _Embedded(), io.BytesIO()
    # unless told otherwise it refuses entities and external parts
    tree = Tree(bytestring=data, url_fetcher=embedded.fetch)
    if tree.tag != "svg":
        raise RefusedError("found no svg element at its root")
    width, height, ppi = drawn_size(tree)
    PNGSurface(
        tree, png, 96, output_width=width, output_height=height, background_color="white"
    ).finish()
    if embedded.refused:  # wherever the drawing library may have gone on without it
        raise RefusedError(embedded.refused)
    return ppi, png.getvalue()


def drawn_size(root: Mapping[str, str]) -> tuple[int, int, float | None]:
    """Pixels across and down, and pixels per inch if a real size is stated.

    Args:
        root: attributes of the ``svg`` element.

    Raises:
        RefusedError: no size, or a shape that is no swatch.

    >>> drawn_size({"width": "6in", "height": "152.4mm"})
    (1200, 1200, 200.0)
    >>> drawn_size({"viewBox": "0 0 60 40"})
    (2400, 1600, None)
    """
    across, real = _length(root.get("width"))
    down, _ = _length(root.get("height"))
    box = _view_box(root.get("viewBox"))
    if box and not (across and down):
        k = across / box[0] if across else down / box[1] if down else 1.0
        across, down = box[0] * k, box[1] * k
    if not (across and down and math.isfinite(across * down)):
        said = ", ".join(f"{k} {root.get(k)!r:.40}" for k in ("width", "height", "viewBox"))
        raise RefusedError(f"found no size in it ({said})")
    longer = max(across, down)
    if longer > MOST_ASPECT * min(across, down):
        raise RefusedError(f"found more than {MOST_ASPECT} times as long as wide")
    real = real and 1 / 16 <= across <= 1000
    side = min(MOST_SIDE, max(LEAST_SIDE, round(longer * PPI))) if real else USUAL_SIDE
    width, height = (max(1, round(v * side / longer)) for v in (across, down))
    return width, height, width / across if real else None


def _length(text: str | None) -> tuple[float, bool]:
    """Inches (96 px to the inch, as CSS counts), and whether that is a real measure."""
    match = _LENGTH.fullmatch(text or "")
    if not match:
        return 0.0, False
    unit = match[2].lower()
    return float(match[1]) * _UNITS.get(unit, 1 / 96), unit in _UNITS


def _view_box(text: str | None) -> tuple[float, float] | None:
    try:
        _, _, w, h = (float(v) for v in re.split(r"[\s,]+", (text or "").strip()))
    except ValueError:
        return None
    return (w, h) if 0 < w < math.inf and 0 < h < math.inf else None


class _Embedded:
    """Gives out the pictures inside the drawing, and nothing else."""

    def __init__(self) -> None:
        self.refused = ""
        self.left = MOST_EMBEDDED

    def fetch(self, url: str, resource_type: str = "") -> Any:
        try:
            return self._data(url)
        except RefusedError as e:
            self.refused = self.refused or str(e)
            raise

    def _data(self, url: str) -> bytes:
        head, comma, body = url.partition(",")
        if not (head[:5].lower() == "data:" and comma):
            raise RefusedError(f"found a link to something outside it ({url[:60]!r})")
        self.left -= len(body)
        if self.left < 0:
            raise RefusedError(f"found more than {MOST_EMBEDDED // 1_000_000} MB of pictures in it")
        data = unquote_to_bytes(body)
        if head.lower().endswith(";base64"):
            try:
                data = base64.b64decode(data)
            except binascii.Error as e:
                raise RefusedError("found a damaged picture in it") from e
        if not data.startswith(_PICTURES):
            raise RefusedError("found something in it that is no PNG, JPEG, GIF or WebP picture")
        return data
