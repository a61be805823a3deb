"""Reading one swatch from its bytes: what each worker does, here or on another machine."""

import hashlib
import json
import os
import sys
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path

from quiltgeom.errors import QuiltError


@dataclass(frozen=True, slots=True)
class Task:
    """A picture to be read. It carries the bytes, so that a worker needs no access to the file.

    Attributes:
        id: the swatch's number in the index.
        width_in: stated real width, or None.
        quick: only what choosing among many needs, see
            :func:`~quiltgeom.fabric.reading.read_file.read_quickly`; where the user has said
            something, a full reading is made all the same.
    """

    id: int
    name: str
    data: bytes
    width_in: float | None
    corrections: Mapping[str, str | float]
    quick: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of a task: a reading as JSON with its packed features, or the reason why not.

    ``lost``: the worker failed, not the picture; it may go better next time.
    """

    id: int
    json: str = ""
    features: bytes = b""
    reason: str = ""
    lost: bool = False


def read_task(task: Task) -> Answer:
    """Read one swatch. Never raises for what is wrong with a picture: that is an answer, too."""
    from quiltgeom.fabric.reading.read_file import read_quickly, read_swatch
    from quiltgeom.fabric.source import PictureBytes
    from quiltgeom.onhand.features import features_of

    picture = PictureBytes(task.name, task.data)
    try:
        if task.quick and not task.corrections:
            reading = read_quickly(picture, task.width_in)
        else:
            reading = read_swatch(picture, task.width_in, corrections=task.corrections)
    except QuiltError as e:
        return Answer(task.id, reason=str(e))
    except MemoryError:
        return Answer(task.id, reason=f"picture {task.name}: found no memory to decode it")
    except Exception as e:  # one odd file must not stop a thousand others
        return Answer(task.id, reason=f"picture {task.name}: cannot be read ({e!r})")
    data = reading.to_json()
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return Answer(task.id, text, features_of(data).tobytes())


@cache
def reader_mark() -> str:
    """Marks the version of the reading code: a short digest of its sources.

    >>> len(reader_mark())
    12
    """
    from quiltgeom import fabric

    folder = Path(fabric.__path__[0])
    files = sorted(folder.rglob("*.py"))
    total = hashlib.sha256()
    for path in files:
        total.update(path.read_bytes() if path.is_file() else path.name.encode())
    return total.hexdigest()[:12]


def start_worker() -> None:
    """Prepare a worker process: it ends when the process that started it ends, however that was.

    (A pool's workers wait on a queue that they themselves keep open; if their parent is killed
    they would wait for ever.) Ctrl-C is for the parent, which lets the last swatches be finished.
    """
    import multiprocessing
    import signal
    from multiprocessing.connection import wait

    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
    load_reader()
    parent = multiprocessing.parent_process()
    if parent is None:
        return
    sentinel = parent.sentinel

    def watch() -> None:
        wait([sentinel])
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()
    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))  # what is half done is cleaned up


def load_reader() -> None:
    """Import all that reading needs: once, before workers are forked, which then share it."""
    for module in (
        "quiltgeom.fabric.reading.read_file",
        "quiltgeom.onhand.features",
        "scipy.ndimage",
        "scipy.fft",
        "PIL.Image",
    ):
        import_module(module)
    from PIL import Image

    Image.init()  # its readers of file formats
