"""The harness for hostile inputs itself: it must see what goes wrong, and repeat itself."""

from __future__ import annotations

from pathlib import Path

import pytest

from quiltgeom.errors import QuiltError, QuiltValueError
from tests.fuzz.cases import judge
from tests.fuzz.run import Plan, _smaller, make_case, run_all


class WordlessError(QuiltError):
    def __str__(self) -> str:
        return ""


def _raises(e: Exception) -> bool:
    raise e


@pytest.mark.parametrize(
    ("error", "kind"),
    [
        (QuiltValueError("width: found 0"), "error"),
        (ValueError("width"), "crash"),
        (RecursionError(), "crash"),
        (WordlessError(), "crash"),
        (KeyError("a"), "crash"),
    ],
)
def test_what_counts_as_a_crash(tmp_path: Path, error: Exception, kind: str) -> None:
    assert judge(lambda data, folder: _raises(error), b"", tmp_path).kind == kind
    assert judge(lambda data, folder: True, b"", tmp_path).kind == "answer"
    assert judge(lambda data, folder: False, b"", tmp_path).kind == "error"


def test_a_crash_is_shortened_to_what_matters(tmp_path: Path) -> None:
    def run(data: bytes, folder: Path) -> bool:
        return _raises(KeyError()) if b"kelp" in data else True

    data = b"ropes and kelp and herons"
    assert _smaller(run, data, judge(run, data, tmp_path).place, tmp_path) == b"kelp"


def test_equal_seeds_make_equal_cases_of_every_kind() -> None:
    names = [("texts", n) for n in range(120)] + [("pictures", n) for n in range(10)]
    cases = [make_case(3, *name) for name in names]
    assert cases == [make_case(3, *name) for name in names]
    assert cases != [make_case(4, *name) for name in names]
    assert {"block", "design", "pattern", "picture"} <= {case.kind for case in cases}


def test_a_short_run_counts_every_case() -> None:
    tally = run_all(Plan(seed=1, texts=30, pictures=4), None, lambda line: None)
    assert (tally.counts["texts"], tally.counts["pictures"]) == (30, 4)
    assert sum(tally.counts[k] for k in ("answer", "error", "crash")) == 34
    assert tally.slowest[0] > 0
    assert tally.largest[0] > 10_000_000
