"""The one question to the owner of a print whose answer helps most where a reading is unsure."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from quiltgeom.units import format_inches


@dataclass(frozen=True, slots=True)
class PossibleAnswer:
    """One answer.

    Attributes:
        words: the answer.
        corrections: what it sets, as of :func:`~quiltgeom.fabric.reading.reading.read_array`.
        option: how a command is told so.
    """

    words: str
    corrections: tuple[tuple[str, str | float], ...]
    option: str


@dataclass(frozen=True, slots=True)
class PrintQuestion:
    """A question about a print, to be asked beside two pictures of it.

    Attributes:
        text: the question.
        turn_deg: how far the second picture is turned against the first.
        shift_in: how far right and down from the first the second is taken.
        unanswered: what is done while nobody has answered.
    """

    text: str
    answers: tuple[PossibleAnswer, ...]
    unanswered: str
    turn_deg: float = 0.0
    shift_in: tuple[float, float] = (0.0, 0.0)

    def to_json(self) -> dict[str, Any]:
        """Plain data."""
        answers = [
            {"answer": a.words, "corrections": dict(a.corrections), "option": a.option}
            for a in self.answers
        ]
        return {"text": self.text, "answers": answers, "unanswered": self.unanswered}

    def lines(self) -> list[str]:
        """The question and its answers in words.

        >>> print(direction_question("plaid").lines()[1])
          Yes: --direction four-way
        """
        said = [f"  {a.words}: {a.option}" for a in self.answers]
        return [f"Question: {self.text}", *said, f"  Until you say: {self.unanswered}"]

    def asked(self, number: int) -> Mapping[str, str | float]:
        """What the answer of that number sets; they are counted from 1."""
        return dict(self.answers[number - 1].corrections)


def _way(words: str, direction: str) -> PossibleAnswer:
    return PossibleAnswer(words, (("direction", direction),), f"--direction {direction}")


def direction_question(figure: str) -> PrintQuestion:
    """Whether a print may be turned: upside down, or sideways where it is a plaid.

    Args:
        figure: as of a direction reading.
    """
    if figure == "plaid":
        return PrintQuestion(
            "Turned sideways, would this check still look the same?",
            (_way("Yes", "four-way"), _way("No", "two-way")),
            "we keep it one way to be safe",
            90.0,
        )
    return PrintQuestion(
        "Could this print be turned upside down without anybody noticing?",
        (
            _way("No, it has an up", "one-way"),
            _way("Yes, but not sideways", "two-way"),
            _way("Yes, it may lie any way at all", "non-directional"),
        ),
        "we keep it upright to be safe",
        180.0,
    )


def repeat_question(kind: str, width: float, height: float) -> PrintQuestion:
    """Whether a repeat that was found, but not surely, is one.

    Args:
        kind, width, height: as of a :class:`~quiltgeom.model.fabric.Repeat`, inches.
    """
    size = (round(width, 2), round(height, 2))
    said = zip(("repeat_width_in", "repeat_height_in"), size, strict=True)
    option = f"--repeat {size[0]:g}in {size[1]:g}in --repeat-kind {kind}"
    yes = PossibleAnswer("Yes, exactly", (*said, ("repeat_kind", kind)), option)
    down = (width / 2, height) if kind == "brick" else (0.0, height)
    apart = format_inches(round(8 * math.hypot(*down)) / 8)
    return PrintQuestion(
        f"Do these two places of the print, {apart} apart, show the same?",
        (yes,),
        "we take the repeat as unknown",
        shift_in=down,
    )
