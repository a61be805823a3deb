"""``on-hand.toml``: what the owner of a folder of swatches says of them, written by hand."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from quiltgeom.errors import Finding, QuiltValueError, raise_findings
from quiltgeom.texts import read_toml
from quiltgeom.units import parse_length

SIDE_NAME = "on-hand.toml"

_LENGTHS = {"width": False, "width_on_hand": True, "length_on_hand": True}  # zero accepted?
_COLUMN: Mapping[str, str] = {"width": "picture_width"}  # as the index calls it


@dataclass(frozen=True)
class SideFile:
    """A side file.

    Attributes:
        width: real width of the pictures in its folder (and the folders below), inches.
        swatches: by file name (or path below the folder): index columns and their values.
    """

    path: Path
    width: float | None = None
    swatches: Mapping[str, Mapping[str, str | float]] = field(default_factory=dict)

    def of(self, picture: Path) -> dict[str, str | float]:
        """What it says of one picture in or below its folder."""
        said = dict(self.swatches.get(picture.relative_to(self.path.parent).as_posix(), {}))
        if self.width is not None:
            said.setdefault("picture_width", self.width)
        return said


def load_side_file(path: Path) -> SideFile:
    """Read a side file.

    Raises:
        TextError: it is not TOML.
        ContentError: unknown keys, values that are no lengths; all of them together.
    """
    data = read_toml(path)
    findings: list[Finding] = []
    width = _value(f"{path}", "width", data.pop("width", None), findings)
    swatches: dict[str, dict[str, str | float]] = {}
    tables = data.pop("swatch", {})
    for key in sorted(data):
        findings.append(Finding(f"{path}", "known keys only", repr(key), 'width, [swatch."FILE"]'))
    if not isinstance(tables, dict):
        findings.append(Finding(f"{path}: swatch", "a table per file", repr(tables)))
        tables = {}
    for name, table in tables.items():
        swatches[name] = _swatch(f"{path}: swatch {name!r}", table, findings)
    raise_findings(findings)
    return SideFile(path, width if isinstance(width, float) else None, swatches)


def _swatch(where: str, table: object, findings: list[Finding]) -> dict[str, str | float]:
    if not isinstance(table, dict):
        findings.append(Finding(where, "a table", repr(table), 'width = "8 in", name = "..."'))
        return {}
    said: dict[str, str | float] = {}
    for key, value in table.items():
        checked = _value(where, str(key), value, findings)
        if checked is not None:
            said[_COLUMN.get(key, key)] = checked
    return said


def _value(where: str, key: str, value: object, findings: list[Finding]) -> str | float | None:
    if value is None:
        return None
    if key in ("name", "notes"):
        if isinstance(value, str):
            return value
        findings.append(Finding(where, key, repr(value), "text"))
    elif key not in _LENGTHS:
        accepted = ", ".join((*_LENGTHS, "name", "notes"))
        findings.append(Finding(where, "known keys only", repr(key), accepted))
    else:
        try:
            if isinstance(value, str | int | float):
                return parse_length(value, what=key, allow_zero=_LENGTHS[key])
        except QuiltValueError:
            pass
        findings.append(Finding(where, key, repr(value), "a length such as '12 in'"))
    return None
