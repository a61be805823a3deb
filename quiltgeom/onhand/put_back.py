"""What is left of cloth on hand after cutting, in place of what there was."""

from collections.abc import Sequence
from dataclasses import dataclass

from quiltgeom.errors import Finding, raise_findings
from quiltgeom.onhand.index import OnHand, Swatch
from quiltgeom.units import format_inches

Size = tuple[float, float]
"""A piece of cloth: length along the selvage and width, inches."""

_SAME = 1 / 16
"""Amounts that differ by less are one amount, inches."""


@dataclass(frozen=True, slots=True)
class CutCloth:
    """Cloth on hand that is cut.

    Attributes:
        before: the pieces of it that the plan was made for.
        left: what is left of them, the largest first.
    """

    swatch: Swatch
    before: tuple[Size, ...]
    left: tuple[Size, ...]

    @property
    def said(self) -> str:
        """From what, and what is left, for people."""
        return f"from {_sizes(self.before)}, left: {_sizes(self.left) or 'nothing'}"


def put_back(index: OnHand, cuts: Sequence[CutCloth], plan: str) -> None:
    """Write down what is left: in one transaction, for all of them or for none.

    The largest piece becomes the amount on hand (0 by 0 if nothing is left). The notes, which are
    kept, get a sentence that names the plan, what was there, and every piece that is left.

    Args:
        plan: name of the plan.

    Raises:
        ContentError: what the index has is not what was cut (as after a second time), for all
            swatches together.
        QuiltValueError: a side file states the amount, which has the last word.
    """
    with index.transaction() as db:
        findings = [f for cut in cuts for f in _differs(index, cut)]
        raise_findings(findings)
        for cut in cuts:
            index.refuse_stated(cut.swatch.id, ["width_on_hand", "length_on_hand", "notes"])
            length, width = cut.left[0] if cut.left else (0.0, 0.0)
            (notes,) = index.rows("SELECT notes FROM swatch WHERE id = ?", cut.swatch.id)[0]
            line = f"cut for {plan}: {cut.said}"
            db.execute(
                "UPDATE swatch SET length_on_hand = ?, width_on_hand = ?, notes = ? WHERE id = ?",
                (length, width, f"{notes}; {line}" if notes else line, cut.swatch.id),
            )


def _differs(index: OnHand, cut: CutCloth) -> list[Finding]:
    """Whether what is written down is none of the pieces that were cut."""
    sql = "SELECT length_on_hand, width_on_hand FROM swatch WHERE id = ?"
    amounts = [("length", "width"), index.rows(sql, cut.swatch.id)[0]]
    known = [(k, v) for k, v in enumerate(amounts[1]) if v is not None]
    if any(all(abs(piece[k] - v) < _SAME for k, v in known) for piece in cut.before):
        return []
    found = ", ".join(f"{amounts[0][k]} {format_inches(v)}" for k, v in known)
    rule, accepted = "the cloth on hand is the cloth that is cut", _sizes(cut.before)
    return [Finding(f"put back {cut.swatch.name}", rule, f"{found} on hand", accepted)]


def _sizes(sizes: Sequence[Size]) -> str:
    return ", ".join(f"{format_inches(n)} x {format_inches(w)}" for n, w in sizes)
