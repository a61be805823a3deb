"""A folder of prints: advice for each, and an overview; both cores busy, safe to interrupt."""

from __future__ import annotations

import base64
import hashlib
import html
import io
import json
import multiprocessing
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor, as_completed
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any
from urllib.parse import quote

from quiltgeom.documents.advise import Brief, advise
from quiltgeom.errors import QuiltError, QuiltFileError
from quiltgeom.files import write_whole
from quiltgeom.model.pattern import Pattern
from quiltgeom.onhand.indexing import index_folder
from quiltgeom.onhand.pool import cores
from quiltgeom.onhand.reader import reader_mark
from quiltgeom.onhand.scan import look_through

__all__ = ["ManyAdvised", "PrintResult", "advise_many"]

STATE = "prints.json"
"""What has been finished, for what: the next run does only the rest."""

THUMB = 420
"""Pixels of an overview's pictures."""


@dataclass(frozen=True)
class PrintResult:
    """What became of one print.

    Attributes:
        photo: its picture.
        folder: with its proof page and kit.
        error: why there is none; "" if all went well.
        kept: whether it was finished by an earlier run.
    """

    photo: Path
    folder: Path
    error: str = ""
    kept: bool = False


@dataclass(frozen=True)
class ManyAdvised:
    """The prints of a folder, in the order of their paths, and the overview."""

    prints: tuple[PrintResult, ...]
    overview: Path

    @property
    def failed(self) -> tuple[PrintResult, ...]:
        """Those that could not be used."""
        return tuple(p for p in self.prints if p.error)


def advise_many(
    photos: str | Path | Iterable[Path],
    brief: Brief,
    folder: str | Path,
    *,
    workers: int | None = None,
    executor: Executor | None = None,
    patterns: Sequence[Pattern] | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> ManyAdvised:
    """Advice for every print; one that cannot be used does not stop the others.

    Each print gets a folder of its own name. A run that is interrupted goes on where it stopped:
    a print is done again only if its picture, the brief or the reading code has changed.

    Args:
        photos: a folder (with those below it), or pictures.
        brief: for all of them; its ``photo`` plays no part.
        folder: made if need be.
        workers: processes; None: one for each core, 1: this very process. (New processes import
            the calling script: there it must stand under ``if __name__ == "__main__":``.)
        executor: anything with the interface of :class:`concurrent.futures.Executor` instead.
        patterns: to choose from; None: all that come with the package.
        progress: called with (prints done, prints in all).

    Raises:
        QuiltFileError: no pictures, or the folder cannot be written.
    """
    folder = Path(folder)
    found = _pictures(photos)
    if not found:
        raise QuiltFileError(f"prints {photos}: found no pictures; accepted: at least one")
    if brief.swatches is not None:
        index_folder(brief.swatches, width=brief.swatch_width, quick=True)
    state = _State(folder)
    results: dict[Path, PrintResult] = {}
    jobs: list[tuple[Path, Path, str]] = []
    for photo, own in zip(found, _folders(found, folder), strict=True):
        key = _key(photo, brief)
        if state.finished(own, key):
            results[photo] = PrintResult(photo, own, kept=True)
        else:
            jobs.append((photo, own, key))
    if progress:
        progress(len(results), len(found))
    for result, key in _work(jobs, brief, workers, executor, patterns):
        results[result.photo] = result
        if not result.error:
            state.add(result.folder, key)
        if progress:
            progress(len(results), len(found))
    ordered = tuple(results[p] for p in found)
    page = write_whole(folder / "overview.html", _overview(ordered, folder).encode("utf-8"))
    return ManyAdvised(ordered, page)


def _pictures(photos: str | Path | Iterable[Path]) -> list[Path]:
    if isinstance(photos, str | Path):
        return [seen.path for seen in look_through(Path(photos).resolve())]
    return [Path(p) for p in photos]


def _folders(photos: list[Path], folder: Path) -> list[Path]:
    """One for each print: its name, with a number where two have the same."""
    taken: dict[str, int] = {}
    out = []
    for photo in photos:
        taken[photo.stem] = count = taken.get(photo.stem, 0) + 1
        out.append(folder / (photo.stem if count == 1 else f"{photo.stem}-{count}"))
    return out


def _key(photo: Path, brief: Brief) -> str:
    """What a print's advice depends on."""
    total = hashlib.sha256(reader_mark().encode())
    total.update(repr(sorted(asdict(replace(brief, photo=Path())).items())).encode())
    try:
        total.update(photo.read_bytes())
    except OSError as e:
        total.update(str(e).encode())
    return total.hexdigest()


class _State:
    """Which folders are finished, kept in the output folder."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / STATE
        try:
            data = json.loads(self.path.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            data = {}
        self.done: dict[str, str] = dict(data) if isinstance(data, dict) else {}

    def finished(self, own: Path, key: str) -> bool:
        return self.done.get(own.name) == key and (own / "advice.json").is_file()

    def add(self, own: Path, key: str) -> None:
        self.done[own.name] = key
        text = json.dumps(self.done, indent=1, sort_keys=True) + "\n"
        write_whole(self.path, text.encode("utf-8"))


def _work(
    jobs: list[tuple[Path, Path, str]], brief: Brief, workers: int | None,
    executor: Executor | None, patterns: Sequence[Pattern] | None,
) -> Iterable[tuple[PrintResult, str]]:  # fmt: skip
    count = min(workers or cores(), max(1, len(jobs)))
    if executor is None and count == 1:
        for photo, own, key in jobs:
            yield _one(photo, own, brief, patterns), key
        return
    pool = executor or ProcessPoolExecutor(count, multiprocessing.get_context("spawn"))
    try:
        running = {pool.submit(_one, photo, own, brief, patterns): (photo, own, key)
                   for photo, own, key in jobs}  # fmt: skip
        for future in as_completed(running):
            photo, own, key = running[future]
            error = future.exception()
            if error is None:
                yield future.result(), key
            else:
                yield PrintResult(photo, own, f"its worker failed ({error!r})"), key
    finally:
        if executor is None:
            pool.shutdown(wait=True, cancel_futures=True)


def _one(
    photo: Path, own: Path, brief: Brief, patterns: Sequence[Pattern] | None
) -> PrintResult:
    try:
        advise(replace(brief, photo=photo), own, patterns=patterns)
    except QuiltError as e:
        return PrintResult(photo, own, str(e))
    return PrintResult(photo, own)


_STYLE = """
body{font:17px/1.5 Georgia,serif;color:#222;background:#fbf9f4;margin:0 auto;max-width:72rem;
padding:1.5rem}ul{list-style:none;padding:0;display:grid;gap:1.5rem;
grid-template-columns:repeat(auto-fill,minmax(15rem,1fr))}
li{background:#fff;border:1px solid #ddd5c6;padding:1rem}img{width:100%;height:auto;display:block}
h2{font-size:1.15rem;margin:.6rem 0 .2rem}p{margin:.2rem 0}.soft{color:#5a564d;font-size:.92em}
a{color:#1d4f66}.bad li{border-color:#a33}
"""


def _local(result: PrintResult) -> str:
    """What went wrong, without the folders of this machine: the page may be handed on."""
    return result.error.replace(str(result.photo), result.photo.name)


def _overview(results: tuple[PrintResult, ...], folder: Path) -> str:
    cards = "".join(_card(r, folder) for r in results if not r.error)
    bad = "".join(
        f"<li><h2>{html.escape(r.photo.name)}</h2><p>{html.escape(_local(r))}</p></li>"
        for r in results if r.error
    )  # fmt: skip
    parts = [
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
        "img-src data:; style-src 'unsafe-inline'\">",
        f"<title>Prints and their quilts</title><style>{_STYLE}</style></head><body>",
        f"<h1>Prints and their quilts</h1><ul>{cards}</ul>",
        f'<h1>Not used</h1><ul class="bad">{bad}</ul>' if bad else "",
        "</body></html>\n",
    ]
    return "".join(parts)


def _card(result: PrintResult, folder: Path) -> str:
    advice: dict[str, Any] = json.loads((result.folder / "advice.json").read_text("utf-8"))
    best = advice["patterns"][0]
    name = html.escape(advice["print"]["name"])
    place = quote(f"{result.folder.relative_to(folder).as_posix()}/proof.html")
    link = html.escape(place, quote=True)
    worn = ", ".join(html.escape(f) for f in advice["fabrics"].values())
    size = f"{best['width_in']:.4g} x {best['height_in']:.4g} in"
    return (
        f'<li><a href="{link}"><img alt="{name}" src="{_thumb(result.folder)}">'
        f"<h2>{name}</h2></a><p>{size}, {html.escape(best['outcome'])}</p>"
        f'<p class="soft">{worn}</p></li>'
    )


def _thumb(own: Path) -> str:
    from PIL import Image

    out = io.BytesIO()
    with Image.open(own / "quilt.png") as picture:
        small = picture.convert("RGB")
        small.thumbnail((THUMB, THUMB))
        small.save(out, "JPEG", quality=84)
    return "data:image/jpeg;base64," + base64.b64encode(out.getvalue()).decode()
