"""Do two cloths separate in a greyscale picture? Steps of value, and what texture does to them."""

from __future__ import annotations

from quiltgeom.matching.rules import Outcome, Verdict

__all__ = ["CLEAR_STEPS", "LOST_STEPS", "STEP", "value_contrast"]

STEP = 10.0
"""L* of one step of Munsell value: V = L*/10 within 0.11 (ASTM D1535 against CIE L*)."""

CLEAR_STEPS = 2.0
"""Steps of value that part two cloths clearly. The trade sorts cloth into light, medium and dark,
about three steps each on Munsell's scale of ten: two steps reach from the middle of one group well
into the next."""

LOST_STEPS = 1.0
"""Below one step both cloths are of the same group and, as teachers put it, merge at the seam."""


def value_contrast(first: float, second: float) -> Verdict:
    """Whether background and accent part, from their lightness.

    Args:
        first, second: CIE L* of the two cloths, 0 to 100.

    >>> value_contrast(90, 35).outcome, value_contrast(60, 60).outcome
    ('pass', 'fail')
    """
    steps = abs(first - second) / STEP
    outcome: Outcome = (
        "pass" if steps >= CLEAR_STEPS else "caution" if steps >= LOST_STEPS else "fail"
    )
    score = min(1.0, 0.85 * steps / CLEAR_STEPS if steps < CLEAR_STEPS else
                0.85 + 0.075 * (steps - CLEAR_STEPS))  # fmt: skip
    says = f"values {first / STEP:.1f} and {second / STEP:.1f}: {steps:.1f} steps apart"
    tail = {"pass": "", "caution": f"; {CLEAR_STEPS:.0f} part clearly",
            "fail": "; the piecing would merge"}[outcome]  # fmt: skip
    return Verdict("value between them", outcome, score, 3.0, says + tail)
