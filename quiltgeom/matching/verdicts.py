"""Verdicts, and the one table of the rules that give them.

All rules are common practice of the trade (no published source), unless the rule's own module names
one; thresholds are this project's reading of them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal, Protocol

Outcome = Literal["pass", "caution", "fail"]

MARKS: dict[Outcome, str] = {"pass": "+", "caution": "~", "fail": "-"}
OUTCOME_WORDS: dict[Outcome, str] = {
    "pass": "suits",
    "caution": "look again",
    "fail": "does not suit",
}
"""What people read. What could not be known is a caution, never a pass."""


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule by which something is judged.

    Attributes:
        id: stays the same, for programs.
        weight: how much its score counts.
    """

    id: str
    title: str
    weight: float


RULES: dict[str, Rule] = {
    rule.id: rule
    for rule in (
        # of a pattern, for a print
        Rule("motif-fits", "motif fits", 3.0),
        Rule("scale-suits", "scale suits", 2.0),
        Rule("independent", "cut one by one", 2.0),
        Rule("shows-enough", "shows enough", 1.5),
        Rule("room", "room around it", 1.0),
        Rule("piecing", "interest from piecing", 1.0),
        Rule("difficulty", "difficulty", 1.0),
        Rule("size", "size", 1.0),
        Rule("cloth", "cuts from the cloth", 2.0),
        # of what is seen in the picture
        Rule("upright", "lies upright", 3.0),
        Rule("cut-up", "not cut up", 2.0),
        Rule("whole-motifs", "whole motifs", 1.5),
        Rule("one-cloth-seams", "no seam through the print", 1.0),
        Rule("guessed", "seen in the photo", 0.5),
        Rule("appears", "all of the print appears", 0.5),
        Rule("companions-quiet", "the print leads", 1.0),
        Rule("piecing-shows", "the piecing shows", 1.0),
        # of a companion, beside a print
        Rule("quiet", "quiet", 3.0),
        Rule("colour", "colour", 2.5),
        Rule("light", "light", 1.5),
        Rule("dark", "dark", 1.5),
        Rule("strong", "strong", 1.0),
        Rule("calm-colour", "calm colour", 1.5),
        Rule("sets-off", "sets off the print", 2.0),
        Rule("clear-or-muted", "clear or muted", 1.5),
        Rule("scale", "scale", 1.0),
        Rule("enough-cloth", "enough cloth", 2.0),
        # of a cloth that is to stand in for another
        Rule("alike-colours", "colours", 3.0),
        Rule("alike-scale", "scale", 1.5),
        Rule("alike-loudness", "loudness", 1.5),
        Rule("alike-clear", "clear or muted", 1.0),
        Rule("alike-value", "value", 1.0),
        # of two cloths, or of two roles that meet
        Rule("value-between", "value between them", 3.0),
        Rule("greys", "seen in greys", 2.0),
    )
}
"""Every rule there is, by its id."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one rule says.

    Attributes:
        score: 0 to 1.
        sentence: the reason, with its numbers.
    """

    rule: str
    outcome: Outcome
    score: float
    weight: float
    sentence: str

    @property
    def title(self) -> str:
        """The rule's name for people."""
        return RULES[self.rule].title if self.rule in RULES else self.rule

    def to_json(self) -> dict[str, Any]:
        """Plain data."""
        row = {"rule": self.rule, "title": self.title, "outcome": self.outcome}
        return row | {
            "score": round(self.score, 6),
            "weight": self.weight,
            "sentence": self.sentence,
        }


def verdict(
    rule: str, outcome: Outcome, score: float, sentence: str, *, weight: float | None = None
) -> Verdict:
    """A verdict with the weight that the table gives its rule, unless another is given.

    >>> verdict("room", "pass", 1.0, "enough").weight
    1.0
    """
    return Verdict(rule, outcome, score, RULES[rule].weight if weight is None else weight, sentence)


class _HasOutcome(Protocol):
    @property
    def outcome(self) -> Outcome: ...


def worst(verdicts: Iterable[_HasOutcome]) -> Outcome:
    """The worst outcome among verdicts; pass where there are none.

    >>> worst([verdict("room", "caution", 0.5, "narrow"), verdict("size", "pass", 1.0, "")])
    'caution'
    """
    found = {v.outcome for v in verdicts}
    return "fail" if "fail" in found else "caution" if "caution" in found else "pass"


class _HasVerdicts(Protocol):
    @property
    def verdicts(self) -> tuple[Verdict, ...]: ...


class Judged:
    """What has ``verdicts``, and so an outcome, a score and a count of the rules that fail.

    >>> class Fit(Judged):
    ...     verdicts = (verdict("upright", "fail", 0.0, ""), verdict("room", "pass", 1.0, ""))
    >>> Fit().outcome, Fit().score, Fit().fails
    ('fail', 0.25, 1)
    """

    @property
    def outcome(self: _HasVerdicts) -> Outcome:
        """The worst of the verdicts: no overall word is better than any of them."""
        return worst(self.verdicts)

    @property
    def score(self: _HasVerdicts) -> float:
        """Weighted mean of the verdicts' scores, 0 to 1; 1 where none counts."""
        total = sum(v.weight for v in self.verdicts)
        return sum(v.score * v.weight for v in self.verdicts) / total if total else 1.0

    @property
    def fails(self: _HasVerdicts) -> int:
        """How many rules fail."""
        return sum(v.outcome == "fail" for v in self.verdicts)
