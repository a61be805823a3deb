"""A folder of prints: advice for each, and an overview; both cores busy, safe to interrupt."""

import html
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import as_completed
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from urllib.parse import quote

from quiltgeom.documents.html_parts import jpeg_uri, policy_meta
from quiltgeom.errors import QuiltError, QuiltFileError
from quiltgeom.files import free_name, safe_name, write_whole
from quiltgeom.jobs.advise import Brief, advise, input_digests, shelf_digest, wishes_data
from quiltgeom.matching.verdicts import OUTCOME_WORDS
from quiltgeom.model.pattern import Pattern
from quiltgeom.onhand.indexing import index_folder
from quiltgeom.onhand.pool import cores, worker_pool
from quiltgeom.onhand.scan import printable, survey
from quiltgeom.outputs.folder import may_begin, output_folder
from quiltgeom.outputs.manifest import MANIFEST, Manifest, load_manifest, made_with
from quiltgeom.texts import PLAN_BYTES, read_json

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
    patterns: Sequence[Pattern] | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> ManyAdvised:
    """Advice for every print; one that cannot be used does not stop the others.

    Each print gets a folder of its own name, and keeps it. A run that is interrupted goes on where
    it stopped: a print is left as it is only if its folder's manifest proves that all is there,
    unchanged, made of the same photo, words, cloths and brief by the same code.

    Args:
        photos: a folder (with those below it), or pictures.
        brief: for all of them; its ``photo`` plays no part.
        folder: made if need be.
        workers: processes; None: one for each core, 1: this very process. (New processes import
            the calling script: there it must stand under ``if __name__ == "__main__":``.)
        patterns: to choose from; None: all that come with the package.
        progress: called with (prints done, prints in all).

    Raises:
        QuiltFileError: no pictures, or the folder cannot be written.
    """
    folder = Path(folder)
    found, skipped = _pictures(photos)
    if not found:
        raise QuiltFileError(f"prints {photos}: found no pictures; accepted: at least one")
    cloths = None
    if brief.swatches is not None:
        index_folder(brief.swatches, width=brief.swatch_width, quick=True)
        cloths = shelf_digest(brief.swatches)
    options = {"prints": _begin(photos, found, folder, brief.force)}
    results: dict[Path, PrintResult] = {}
    jobs: list[tuple[Path, Path]] = []
    for photo, name in zip(found, options["prints"].values(), strict=True):
        if _kept(folder / name, replace(brief, photo=photo), cloths, patterns):
            results[photo] = PrintResult(photo, folder / name, kept=True)
        else:
            jobs.append((photo, folder / name))
    if progress:
        progress(len(results), len(found))
    for result in _work(jobs, brief, workers, patterns):
        results[result.photo] = result
        if progress:
            progress(len(results), len(found))
    ordered = (*(results[p] for p in found), *skipped)
    with output_folder(folder, "prints", options=options, force=brief.force) as filling:
        page = _overview(ordered, folder).encode("utf-8")
        write_whole(filling.path / "overview.html", page)
    return ManyAdvised(ordered, folder / "overview.html")


def _pictures(photos: str | Path | Iterable[Path]) -> tuple[list[Path], list[PrintResult]]:
    """The photos, and what there is in the folder that cannot be used at all."""
    if not isinstance(photos, str | Path):
        return [Path(p) for p in photos], []
    look = survey(Path(photos).resolve())
    skipped = [PrintResult(Path(printable(s.path.name)), Path(), s.reason) for s in look.skipped]
    return [seen.path for seen in look.files], skipped


def _begin(
    photos: str | Path | Iterable[Path], found: list[Path], folder: Path, force: bool
) -> dict[str, str]:
    """Names of the prints' folders by the photos' paths, written down before anything is made."""
    root = Path(photos).resolve() if isinstance(photos, str | Path) else None
    keys = [p.relative_to(root).as_posix() if root else p.name for p in found]
    keys = [k if keys.index(k) == i else f"{k} ({i})" for i, k in enumerate(keys)]
    new = Manifest("prints", finished=False, versions=made_with())
    may_begin(folder, new, force)
    old = load_manifest(folder) if (folder / MANIFEST).exists() and not force else None
    known = old.options.get("prints", {}) if old else {}
    names = _folder_names(keys, found, folder, known if isinstance(known, dict) else {})
    replace(new, files=old.files if old else {}, options={"prints": names}).write(folder)
    return names


def _folder_names(
    keys: list[str], found: list[Path], folder: Path, known: Mapping[str, str]
) -> dict[str, str]:
    """One for each print: what it had before, else its own name, with a number where two have the
    same or something else stands there."""
    kept = {k: n for k in keys if (n := known.get(k)) and safe_name(n) == n}
    taken = {*known.values(), *(p.name for p in folder.glob("*") if not (p / MANIFEST).exists())}
    for key, photo in zip(keys, found, strict=True):
        if key not in kept:
            kept[key] = free_name(safe_name(photo.stem), taken)
            taken.add(kept[key])
    return {k: kept[k] for k in keys}


def _kept(own: Path, brief: Brief, cloths: str | None, patterns: Sequence[Pattern] | None) -> bool:
    """Whether the folder is proved to be just what this brief would make."""
    try:
        made = load_manifest(own)
    except QuiltFileError:
        return False
    made_of, options = input_digests(brief, cloths), wishes_data(brief, patterns)
    wanted = Manifest("advice", inputs=made_of, options=options, versions=made_with())
    return made is not None and made.proves(own, wanted)


def _work(
    jobs: list[tuple[Path, Path]],
    brief: Brief,
    workers: int | None,
    patterns: Sequence[Pattern] | None,
) -> Iterable[PrintResult]:
    count = min(workers or cores(), max(1, len(jobs)))
    if count == 1:
        for photo, own in jobs:
            yield _one(photo, own, brief, patterns)
        return
    with worker_pool(count) as pool:
        running = {
            pool.submit(_one, photo, own, brief, patterns): (photo, own) for photo, own in jobs
        }
        for future in as_completed(running):
            photo, own = running[future]
            error = future.exception()
            if error is None:
                yield future.result()
            else:
                yield PrintResult(photo, own, f"its worker failed ({error!r})")


def _one(photo: Path, own: Path, brief: Brief, patterns: Sequence[Pattern] | None) -> PrintResult:
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
        for r in results
        if r.error
    )
    parts = [
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        policy_meta(_STYLE),
        f"<title>Prints and their quilts</title><style>{_STYLE}</style></head><body>",
        f"<h1>Prints and their quilts</h1><ul>{cards}</ul>",
        f'<h1>Not used</h1><ul class="bad">{bad}</ul>' if bad else "",
        "</body></html>\n",
    ]
    return "".join(parts)


def _card(result: PrintResult, folder: Path) -> str:
    advice: dict[str, Any] = read_json(result.folder / "advice.json", most=PLAN_BYTES)
    best = advice["patterns"][0]
    name = html.escape(advice["print"]["name"])
    place = quote(f"{result.folder.relative_to(folder).as_posix()}/proof.html")
    link = html.escape(place, quote=True)
    fabrics = ", ".join(html.escape(f) for f in advice["fabrics"].values())
    size = f"{best['width_in']:.4g} x {best['height_in']:.4g} in"
    return (
        f'<li><a href="{link}"><img alt="{name}" src="{_thumb(result.folder)}">'
        f"<h2>{name}</h2></a><p>{size}, {html.escape(OUTCOME_WORDS[best['outcome']])}</p>"
        f'<p class="soft">{fabrics}</p></li>'
    )


def _thumb(own: Path) -> str:
    from PIL import Image

    with Image.open(own / "quilt.png") as picture:
        small = picture.convert("RGB")
        small.thumbnail((THUMB, THUMB))
        return jpeg_uri(small, quality=84)
