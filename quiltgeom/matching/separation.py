"""Do two cloths separate in a greyscale picture? Steps of value, by themselves and at the seams.

Thresholds. Munsell's value scale was built of steps that look equal; one step is ten units of CIE
L* (ASTM D1535). Teachers sort cloth into light, medium and dark, about three steps each, and find
that two prints of equal value merge at the seam (common practice, no source, and no number in
print). So: less than one step apart, two cloths are of one group and merge; two steps reach from
the middle of one group well into the next; between them it depends on the light and on the eye.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from quiltgeom.matching.verdicts import Outcome, Verdict, verdict

STEP = 10.0
"""L* of one step of Munsell value: V = L*/10 within 0.11 (ASTM D1535 against CIE L*)."""

CLEAR_STEPS = 2.0
"""Steps of value from which two cloths part clearly."""

LOST_STEPS = 1.0
"""Steps of value below which a seam is lost."""

_LOST_PASS, _LOST_FAIL = 0.1, 0.5
"""Share of a seam that may be lost: now and then a print meets its own value; half is too much."""


def _outcome(steps: float) -> Outcome:
    return "pass" if steps >= CLEAR_STEPS else "caution" if steps >= LOST_STEPS else "fail"


def _score(steps: float) -> float:
    """0 at no contrast, 0.85 where it is clear, 1 from four steps up."""
    return float(np.interp(steps, [0.0, CLEAR_STEPS, 2 * CLEAR_STEPS], [0.0, 0.85, 1.0]))


def value_contrast(first: float, second: float) -> Verdict:
    """Whether background and accent part, from their lightness.

    Args:
        first, second: CIE L* of the two cloths, 0 to 100.

    >>> value_contrast(90, 35).outcome, value_contrast(60, 60).outcome
    ('pass', 'fail')
    """
    steps = abs(first - second) / STEP
    outcome = _outcome(steps)
    says = f"values {first / STEP:.1f} and {second / STEP:.1f}: {steps:.1f} steps apart"
    if outcome != "pass":
        clear = f"{CLEAR_STEPS:.0f} part clearly"
        says += f"; {clear if outcome == 'caution' else 'the piecing would merge'}"
    return verdict("value-between", outcome, _score(steps), says)


@dataclass(frozen=True, slots=True)
class SeamContrast:
    """How two roles part along the seams between them, in a greyscale picture.

    Attributes:
        roles: the two, in the order of the pattern.
        steps: median difference across the seam, steps of value.
        lost: share of the seam's length with less than one step.
        show: whether one of them is the role that shows the print.
    """

    roles: tuple[str, str]
    steps: float
    lost: float
    show: bool = False

    @property
    def outcome(self) -> Outcome:
        """``fail`` where the shapes merge. A print that merges with its neighbour is a caution:
        its patches are known by their figures, too."""
        if self.steps >= CLEAR_STEPS and self.lost <= _LOST_PASS:
            return "pass"
        return "fail" if self.merges and not self.show else "caution"

    @property
    def merges(self) -> bool:
        """Whether more than half of the seam is lost."""
        return self.steps < LOST_STEPS or self.lost > _LOST_FAIL

    @property
    def sentence(self) -> str:
        """The reason, with its numbers."""
        one, other = self.roles
        share = f"{self.lost:.0%} of the" if self.lost >= 0.005 else "no"
        lost = f"{share} seam between them is lost"
        tail = {
            "pass": "they part clearly",
            "caution": f"{CLEAR_STEPS:.0f} steps part clearly",
            "fail": "the pieced shapes merge",
        }[self.outcome]
        if self.merges and self.show:
            tail = "the print runs into its neighbour, so its patches are seen by colour alone"
        return f"{one} and {other} are {self.steps:.1f} steps of value apart, {lost}: {tail}"

    @property
    def verdict(self) -> Verdict:
        """As a rule's verdict."""
        score = _score(self.steps) * (1.0 - self.lost)
        return verdict("greys", self.outcome, score, self.sentence)

    def to_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "roles": list(self.roles),
            "steps": round(self.steps, 3),
            "lost": round(self.lost, 4),
            "outcome": self.outcome,
            "sentence": self.sentence,
        }


def seam_contrast(
    roles: tuple[str, str], first: ArrayLike, second: ArrayLike, *, show: bool = False
) -> SeamContrast:
    """Sum up lightness measured on both sides of the seams between two roles.

    Args:
        first, second: CIE L* on either side, one value for each equal length of seam.

    >>> seam_contrast(("background", "accent"), [90, 90], [40, 40]).outcome
    'pass'
    >>> seam_contrast(("background", "accent"), [62, 60], [61, 60]).outcome
    'fail'
    """
    steps = np.abs(np.asarray(first, np.float64) - np.asarray(second, np.float64)) / STEP
    return SeamContrast(roles, float(np.median(steps)), float((steps < LOST_STEPS).mean()), show)
