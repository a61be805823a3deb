"""Bringing the index in line with what a folder holds now: new, changed, moved, gone, come back."""

from __future__ import annotations

import os
import sqlite3
from dataclasses import dataclass, field
from pathlib import Path

from quiltgeom.onhand.index import OnHand
from quiltgeom.onhand.scan import Seen, digests

__all__ = ["StockTaking", "take_stock"]


@dataclass
class StockTaking:
    """What was found, in numbers of files."""

    found: int = 0
    new: int = 0
    changed: int = 0
    moved: list[tuple[str, str]] = field(default_factory=list)
    missing: int = 0


@dataclass(slots=True)
class _Row:
    id: int
    path: str
    present: bool
    size: int
    mtime_ns: int
    digest: str


def take_stock(index: OnHand, folder: Path, files: list[Seen], width: float | None) -> StockTaking:
    """Write down the files of a folder; readings come later. One transaction: all or nothing.

    A swatch is recognised by its bytes first, so that what its owner said of it goes along when
    its file is moved or renamed; by its path next, so that a new photo of it takes its place.

    Args:
        index: open.
        folder: the folder that was looked through (absolute).
        files: its pictures.
        width: real width of pictures of which nothing else is said.
    """
    done = StockTaking(found=len(files))
    rows = [_Row(*r) for r in index.rows(
        "SELECT id, path, present, size, mtime_ns, digest FROM swatch ORDER BY id")]  # fmt: skip
    stored = {f.path: Path(os.path.relpath(f.path, index.folder)).as_posix() for f in files}
    at = {r.path: r for r in rows if r.present}
    same = {f.path for f in files if _untouched(f, at.get(stored[f.path]))}
    rest = [f for f in files if f.path not in same]
    known = dict(zip((f.path for f in rest), digests(rest), strict=True))
    taken = {at[stored[p]].id for p in same}
    placed = _place(index, folder, rows, rest, stored, known, taken, done)
    with index.transaction() as db:
        _write(db, placed, stored, known)
        for f in files:
            _write_said(db, f, stored[f.path], width)
        done.missing = _mark_missing(db, index, folder, {stored[f.path] for f in files})
    return done


def _untouched(f: Seen, row: _Row | None) -> bool:
    return (row is not None and not f.fault and f.mtime_ns >= 0
            and (row.size, row.mtime_ns) == (f.size, f.mtime_ns))  # fmt: skip


def _place(
    index: OnHand,
    folder: Path,
    rows: list[_Row],
    rest: list[Seen],
    stored: dict[Path, str],
    known: dict[Path, tuple[str, int]],
    taken: set[int],
    done: StockTaking,
) -> list[tuple[Seen, _Row | None]]:
    """Which row each new or touched file belongs to; None makes a new one."""
    placed: dict[Path, _Row | None] = {}

    def claim(f: Seen, row: _Row | None) -> None:
        if row is not None:
            taken.add(row.id)
        placed[f.path] = row

    at = {r.path: r for r in rows if r.present}
    for f in rest:  # touched, but the same bytes
        row = at.get(stored[f.path])
        if row is not None and row.digest == known[f.path][0]:
            claim(f, row)
    free: dict[str, list[_Row]] = {}
    for r in rows:
        # a row may follow its bytes only when they are no longer where it says
        if r.id not in taken and not _elsewhere(index, r, stored, folder):
            free.setdefault(r.digest, []).append(r)
    for f in rest:
        here = free.get(known[f.path][0], [])
        if f.path not in placed and here:
            row = here.pop(0)
            if stored[f.path] != row.path:
                done.moved.append((row.path, stored[f.path]))
            claim(f, row)
    by_path = {r.path: r for r in rows if not r.present} | at
    for f in rest:
        if f.path in placed:
            continue
        row = by_path.get(stored[f.path])
        row = None if row is None or row.id in taken else row
        done.changed, done.new = done.changed + (row is not None), done.new + (row is None)
        claim(f, row)
    return [(f, placed[f.path]) for f in rest]


def _elsewhere(index: OnHand, row: _Row, stored: dict[Path, str], folder: Path) -> bool:
    """Whether a row's file still stands outside the folder that was looked through."""
    path = index.absolute(row.path)
    return bool(row.present) and not path.is_relative_to(folder) and path.is_file()


def _write(
    db: sqlite3.Connection,
    placed: list[tuple[Seen, _Row | None]],
    stored: dict[Path, str],
    known: dict[Path, tuple[str, int]],
) -> None:
    # two files may have changed names: no path is in anyone's way while they do
    for _, row in placed:
        if row is not None:
            db.execute("UPDATE swatch SET present = 0 WHERE id = ?", (row.id,))
    for f, _ in placed:
        db.execute("UPDATE swatch SET present = 0 WHERE path = ? AND present", (stored[f.path],))
    for f, row in placed:
        digest, stamp = known[f.path]
        if row is None:
            db.execute(
                "INSERT INTO swatch (path, present, size, mtime_ns, digest, status) "
                "VALUES (?, 1, ?, ?, ?, 'waiting')",
                (stored[f.path], f.size, stamp, digest),
            )
            continue
        db.execute(
            "UPDATE swatch SET path = ?, present = 1, size = ?, mtime_ns = ?, digest = ?, "
            "status = CASE WHEN digest = ? THEN status ELSE 'waiting' END WHERE id = ?",
            (stored[f.path], f.size, stamp, digest, digest, row.id),
        )


_SAID = ("name", "width_on_hand", "length_on_hand", "notes")


def _write_said(db: sqlite3.Connection, f: Seen, path: str, width: float | None) -> None:
    db.execute("UPDATE swatch SET stated = ? WHERE path = ? AND present",
               (",".join(sorted(f.said)), path))  # fmt: skip
    for column in _SAID:
        if column in f.said:
            db.execute(f"UPDATE swatch SET {column} = ? WHERE path = ? AND present",
                       (f.said[column], path))  # fmt: skip
    if f.fault:
        db.execute("UPDATE swatch SET status = 'unreadable', reason = ? WHERE path = ? "
                   "AND present", (f.fault, path))  # fmt: skip
        return
    # by the side file, by the owner's word, by the option, as last time; else by the density
    db.execute(
        "UPDATE swatch SET picture_width = coalesce(:side, said_width, :given, picture_width), "
        "corrections = :corrections, status = CASE WHEN corrections IS :corrections AND "
        "picture_width IS coalesce(:side, said_width, :given, picture_width) THEN status "
        "ELSE 'waiting' END WHERE path = :path AND present",
        {"side": f.said.get("picture_width"), "given": width, "corrections": f.corrections,
         "path": path},
    )  # fmt: skip


def _mark_missing(
    db: sqlite3.Connection, index: OnHand, folder: Path, here: set[str]
) -> int:
    gone = 0
    for key, path in db.execute("SELECT id, path FROM swatch WHERE present").fetchall():
        if path not in here and index.absolute(path).is_relative_to(folder):
            db.execute("UPDATE swatch SET present = 0 WHERE id = ?", (key,))
            gone += 1
    return gone
