"""A designer's SVG artwork as pixels: drawn by a process of its own that may do little else."""

import os
import re
import subprocess
import sys
from dataclasses import dataclass
from functools import lru_cache

from quiltgeom.errors import QuiltFileError
from quiltgeom.fabric.source import Source, first_bytes, read_all

MOST_BYTES = 20_000_000
SECONDS = 8.0
"""By the clock; the process itself ends after less time of its processor."""

_ROOT = re.compile(rb"<(?:[A-Za-z_][\w.-]*:)?svg[\s>/]")
_STARTS = (b"<", b"\xef\xbb\xbf<")
_DYLD = ("DYLD_LIBRARY_PATH", "DYLD_FALLBACK_LIBRARY_PATH")
_KEPT = ("PATH", "HOME", "LD_LIBRARY_PATH", *_DYLD, "SYSTEMROOT", "TEMP", "TMP")
_RUN = """import sys
sys.path[:] = sys.argv[1:]
from quiltgeom.fabric.svg_worker import main
main()
"""


@dataclass(frozen=True, slots=True)
class Raster:
    """A drawing as a PNG file, and its pixels per inch if it states a real size."""

    png: bytes
    ppi: float | None


def svg_raster(source: Source) -> Raster | None:
    """The drawing as pixels, at most 3600 a side; None if the source is no SVG (by its content).

    The same drawing is not drawn again while it is among the last few.

    Raises:
        QuiltFileError: missing, damaged, no size, links to other files, too much work.
    """
    head = first_bytes(source, 65536)
    if not (head.lstrip().startswith(_STARTS) and _ROOT.search(head)):
        return None
    data = read_all(source, MOST_BYTES)
    try:
        return _drawn(data)
    except _RefusedError as e:
        raise QuiltFileError(
            f"picture {source}: SVG drawing: {e}; accepted: a drawing of a stated size or viewBox "
            "that holds all it needs"
        ) from e


class _RefusedError(ValueError):
    """Why a drawing is not drawn."""


@lru_cache(maxsize=4)
def _drawn(data: bytes) -> Raster:
    env = {k: os.environ[k] for k in _KEPT if k in os.environ}
    try:
        done = subprocess.run(
            [sys.executable, "-I", "-c", _RUN, *sys.path],
            input=data,
            capture_output=True,
            env=env,
            timeout=SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired as e:
        raise _RefusedError("found more work than a few seconds allow") from e
    except OSError as e:
        raise _RefusedError(f"found no way to start what draws it ({e.strerror})") from e
    if done.returncode < 0:  # ended by a signal: its limits, or a library that broke down
        raise _RefusedError("found more work than is allowed for one drawing")
    if done.returncode:
        said = done.stderr.decode("utf-8", "replace").strip().rsplit("\n", 1)[-1]
        raise _RefusedError("".join(c if c.isprintable() else " " for c in said)[:200])
    stated, _, png = done.stdout.partition(b"\n")
    return Raster(png, float(stated) if stated else None)
