"""Blocks and patterns made in Python, in the words of their files and checked as these are."""

from collections.abc import Iterable
from typing import Any

from quiltgeom.checks import TEXT, Checks, annotated
from quiltgeom.errors import ContentError, raise_findings
from quiltgeom.library.block_file import block_from_data
from quiltgeom.library.blocks import load_blocks, name_key
from quiltgeom.library.pattern_file import pattern_from_data
from quiltgeom.model.block import Block
from quiltgeom.model.pattern import Pattern


def make_block(name: str, **words: Any) -> Block:
    """A block of one's own.

    Args:
        name: as a quilter says it.
        words: what a block file says, see ``docs/files.md``: ``grid`` and ``cells``, or ``patch``:
            for each patch its ``role`` and its corners ``at`` in grid units from the top left, x
            right, y down; ``turn=4`` lays four copies round the middle of the block.

    Raises:
        ContentError: all that is wrong with it, together.

    >>> make_block("Harbour Cross", grid=3, cells="L D L / D D D / L D L").roles
    ('background', 'accent')
    >>> gable = make_block("Net Loft", grid=2, patch=[
    ...     {"role": "accent", "at": [(0, 1), (1, 0), (2, 1)]},
    ...     {"role": "background", "at": [(0, 0), (1, 0), (0, 1)]},
    ...     {"role": "background", "at": [(1, 0), (2, 0), (2, 1)]},
    ...     {"role": "focus", "at": [(0, 1), (2, 1), (2, 2), (0, 2)]},
    ... ])
    >>> len(gable.patches)
    4
    """
    _named(name)
    key, data = name_key(name), _plain({"name": name, **words})
    block, findings, _ = block_from_data(data, key=key, where=f"block {key}")
    raise_findings(findings)
    if block is None:
        raise ContentError(findings)
    return block


def _named(name: object, **blocks: object) -> None:
    check = Checks("made in Python")
    check.that(name, "name", TEXT)
    for key, given in blocks.items():
        check.that(given, key, annotated(Iterable[Block]))
    check.done()


def _plain(words: Any) -> Any:
    """What a file would hold: lists for tuples and arrays, floats for numbers of numpy."""
    if isinstance(words, dict):
        return {str(k): _plain(v) for k, v in words.items()}
    if hasattr(words, "tolist"):
        return words.tolist()
    return [_plain(v) for v in words] if isinstance(words, list | tuple) else words


def make_pattern(name: str, blocks: Iterable[Block] = (), **words: Any) -> Pattern:
    """A pattern of one's own.

    Args:
        name: for people.
        blocks: made in Python; ``use`` in ``tiles`` names them as those of the library.
        words: what a pattern file says, see ``docs/files.md``: ``cells`` (rows of labels, each
            with quarter turns and ``m`` for mirrored: ``"A1m"``), ``tiles`` (by label what lies
            there: ``use`` with ``roles``, or ``plain``), ``roles`` (``main``, ``cut``, ``lie``),
            ``setting``, ``rows``, ``columns``, ``block`` (inches or a text), ``sashing``,
            ``border`` (a list, from the inside out), ``column``, ``edges``, ``inner``, ``fold``.
            Widths of sashing and borders are block units: ``"1/4"`` is 3 inches with blocks of 12.

    Raises:
        ContentError: all that is wrong with it, together.

    >>> quay = make_pattern(
    ...     "Quay",
    ...     cells=["A"],
    ...     rows=3,
    ...     columns=2,
    ...     block="9 in",
    ...     roles={"focus": {"main": True}, "background": {}, "accent": {}},
    ...     tiles={"A": {"use": "churn-dash"}},
    ...     sashing={"width": "1/6", "role": "background", "cornerstone": "accent", "outer": True},
    ...     border=[{"width": "1/3", "role": "focus", "corners": "mitred"}],
    ... )
    >>> quay.sashing.width * quay.block_size, quay.borders[0].width * quay.block_size
    (1.5, 3.0)
    >>> make_pattern(
    ...     "Pier",
    ...     cells=["A B", "B A"],
    ...     roles={"focus": {"main": True}, "background": {}, "accent": {}},
    ...     tiles={"A": {"use": "churn-dash"}, "B": {"plain": "focus"}},
    ... ).main_role
    'focus'
    """
    _named(name, blocks=blocks)
    key = name_key(name)
    data = _plain({"name": name, "summary": name, **words})
    library = load_blocks().also(blocks)
    pattern, findings = pattern_from_data(data, library, key=key, where=f"pattern {key}")
    if pattern is None or findings:
        raise ContentError(findings)
    return pattern
