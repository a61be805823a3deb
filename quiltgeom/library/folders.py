"""Where the data files are: in a checkout, an editable install or a wheel."""

from pathlib import Path

from quiltgeom.errors import QuiltFileError

_PACKAGE = Path(__file__).resolve().parent.parent


def block_folder() -> Path:
    """Folder with the block files: ``quiltgeom/blocks`` in a wheel, ``blocks`` in a checkout."""
    for folder in (_PACKAGE / "blocks", _PACKAGE.parent / "blocks"):
        if folder.is_dir():
            return folder
    raise QuiltFileError(
        f"block files: found no 'blocks' folder in {_PACKAGE} or beside it; "
        "accepted: a complete install or checkout"
    )


def pattern_folder() -> Path:
    """Folder with the pattern files."""
    return _PACKAGE / "patterns"
