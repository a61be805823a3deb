"""Writing files whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from quiltgeom.errors import QuiltFileError

__all__ = ["write_whole"]


def write_whole(path: str | Path, data: bytes) -> Path:
    """Write ``data`` to a temporary name beside ``path``, then put it in place at once.

    Raises:
        QuiltFileError: the folder does not exist or cannot be written to.
    """
    path = Path(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    except OSError as e:
        raise QuiltFileError(f"output {path}: cannot be written ({e.strerror or e})") from e
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        umask = os.umask(0)
        os.umask(umask)
        temporary.chmod(0o666 & ~umask)
        os.replace(temporary, path)
    except OSError as e:
        temporary.unlink(missing_ok=True)
        raise QuiltFileError(f"output {path}: cannot be written ({e.strerror or e})") from e
    return path
