"""Rules are found by their ids in one table: where one stands, or that it was added, moves nothing
but its own line."""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path

import pytest

import quiltgeom
from quiltgeom.library.patterns import load_patterns
from quiltgeom.matching import rules
from quiltgeom.matching.facts import PrintFacts
from quiltgeom.matching.rank import PatternFit, rank_patterns
from quiltgeom.matching.verdicts import OUTCOME_WORDS, RULES, Outcome, Rule, verdict, worst

PRINTS = [
    PrintFacts(6.0, "one-way", 0.7),
    PrintFacts(11.0, "one-way", 0.5),
    PrintFacts(0.4, "non-directional", 0.2),
    PrintFacts(0.0, "two-way", 0.5, motif_known=False),
]


def ranked(print_: PrintFacts) -> list[PatternFit]:
    return rank_patterns(load_patterns(), print_, (44, 60))


def told(fits: list[PatternFit], but: str) -> list[tuple[object, ...]]:
    return [
        (
            f.pattern.key,
            f.quilt.block_size,
            f.quilt.rows,
            f.quilt.columns,
            round(f.score, 12),
            *(v for v in f.verdicts if v.rule != but),
        )
        for f in fits
    ]


@pytest.mark.parametrize("first", [True, False])
@pytest.mark.parametrize("print_", PRINTS, ids=lambda p: f"{p.motif:g} in")
def test_a_rule_added_first_or_last_moves_nothing_else(
    print_: PrintFacts, first: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = ranked(print_)
    monkeypatch.setitem(RULES, "moon", Rule("moon", "the moon", 0.0))

    def moon(p: PrintFacts, q: object) -> tuple[Outcome, float, str]:
        return "pass", 0.0, "it wanes"

    row = ("moon", moon)
    added = (row, *rules.PATTERN_RULES) if first else (*rules.PATTERN_RULES, row)
    monkeypatch.setattr(rules, "PATTERN_RULES", added)
    after = ranked(print_)
    assert told(before, "moon") == told(after, "moon")
    assert all(sum(v.rule == "moon" for v in f.verdicts) == 1 for f in after)
    assert [v.title for v in after[0].verdicts if v.rule == "moon"] == ["the moon"]


def test_rules_in_any_order_give_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    before = ranked(PRINTS[0])
    monkeypatch.setattr(rules, "PATTERN_RULES", rules.PATTERN_RULES[::-1])
    after = ranked(PRINTS[0])
    assert [(f.pattern.key, f.quilt.block_size) for f in before] == [
        (f.pattern.key, f.quilt.block_size) for f in after
    ]


@pytest.mark.parametrize("taken", [0.0, 2.0, 11.0])
def test_what_is_not_known_is_never_a_pass(taken: float) -> None:
    """Nor is a size that is only assumed."""
    for fit in ranked(replace(PRINTS[3], motif=taken)):
        said = next(v for v in fit.verdicts if v.rule == "motif-fits")
        assert said.outcome == ("fail" if fit.facts.window < taken else "caution")
        assert "we could not tell" in said.sentence
        assert fit.outcome != "pass"


def test_ids_are_in_the_table_and_no_code_asks_for_a_place() -> None:
    """Every verdict that the library's code makes names a rule of the table."""
    used = set()
    for path in sorted(Path(quiltgeom.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("verdict", "Column"):
                first = node.args[0] if node.args else None
                if isinstance(first, ast.Constant):
                    used.add(first.value)
            if isinstance(node, ast.Subscript) and isinstance(node.slice, ast.Constant):
                name = getattr(node.value, "attr", getattr(node.value, "id", ""))
                assert name != "verdicts" or not isinstance(node.slice.value, int), path
    assert len(used) > 20
    assert used <= set(RULES)
    assert all(rule.id == key for key, rule in RULES.items())


def test_the_worst_word_is_the_overall_word() -> None:
    one = [verdict("room", "pass", 1, ""), verdict("size", "caution", 0.9, "")]
    assert OUTCOME_WORDS[worst(one)] == "look again"
    assert worst([*one, verdict("cloth", "fail", 0.0, "")]) == "fail"
    assert worst([]) == "pass"
