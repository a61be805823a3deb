"""Blocks and patterns made in Python, in the words of their files and checked as these are."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

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
        words: what a block file says, see ``docs/files.md``: ``grid=3, cells=...``, or
            ``patch=[{"role": "accent", "at": [[0, 0], [1, 0], [0, 1]], "turn": 4}, ...]``.

    Raises:
        ContentError: all that is wrong with it, together.

    >>> make_block("Harbour Cross", grid=3, cells="L D L / D D D / L D L").roles
    ('background', 'accent')
    """
    key = name_key(name)
    block, findings, _ = block_from_data({"name": name, **words}, key=key, where=f"block {key}")
    raise_findings(findings)
    if block is None:
        raise ContentError(findings)
    return block


def make_pattern(name: str, blocks: Iterable[Block] = (), **words: Any) -> Pattern:
    """A pattern of one's own.

    Args:
        name: for people.
        blocks: made in Python; ``use`` in ``tiles`` names them as those of the library.
        words: what a pattern file says, see ``docs/files.md``.

    Raises:
        ContentError: all that is wrong with it, together.

    >>> make_pattern(
    ...     "Pier",
    ...     cells=["A B", "B A"],
    ...     roles={"focus": {"main": True}, "background": {}, "accent": {}},
    ...     tiles={"A": {"use": "churn-dash"}, "B": {"plain": "focus"}},
    ... ).main_role
    'focus'
    """
    key = name_key(name)
    data = {"name": name, "summary": name, **words}
    library = load_blocks().also(blocks)
    pattern, findings = pattern_from_data(data, library, key=key, where=f"pattern {key}")
    if pattern is None or findings:
        raise ContentError(findings)
    return pattern
