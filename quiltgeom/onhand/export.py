"""What is on hand as a list for other programs: CSV or JSON."""

import csv
import io
import json
import os
from pathlib import Path
from typing import Any

from quiltgeom.errors import QuiltValueError
from quiltgeom.files import csv_cell, write_whole
from quiltgeom.onhand.index import index_path, open_index
from quiltgeom.onhand.repair.index_care import may_write


def export_index(place: str | Path, target: str | Path, *, force: bool = False) -> int:
    """Write what is on hand, with what its owner said of it; also what is missing now.

    Args:
        place: an indexed folder, or the file; no picture is read.
        target: ends in ``.csv`` (UTF-8, as cells that are no formulas) or ``.json``. Lengths in
            inches, files as paths from the index's folder.
        force: a file of that name may be replaced.

    Raises:
        QuiltValueError: another ending.
        QuiltFileError: there is no index, or a damaged one; the file stands there already, or
            cannot be written.
    """
    target = Path(target)
    ending = target.suffix.lower()
    if ending not in (".csv", ".json"):
        raise QuiltValueError(f"export {target}: found {ending!r}; accepted: .csv or .json")
    with open_index(place) as index:
        may_write(index_path(place), target, force=force)
        rows = [
            s.facts(Path(os.path.relpath(s.path, index.folder)).as_posix())
            for s in index.swatches(missing=True)
        ]
    if ending == ".json":
        text = json.dumps({"swatches": rows}, indent=2, ensure_ascii=False) + "\n"
    else:
        text = _csv(rows)
    write_whole(target, text.encode("utf-8"))
    return len(rows)


_HEAD = ("name file status picture_width_in width_on_hand_in length_on_hand_in notes").split()


def _csv(rows: list[dict[str, Any]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out)  # lines end as RFC 4180 says
    writer.writerow(_HEAD)
    for row in rows:
        cells = ("" if v is None else v for v in (row[h] for h in _HEAD))
        writer.writerow([csv_cell(c) if isinstance(c, str) else c for c in cells])
    return out.getvalue()
