"""Two quiet companions for a print, from what is on hand: ranked, with reasons, not all alike."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from quiltgeom.colour import Floats
from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.photo.prepare import cloth_picture
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.library.corrections import declared_fabric
from quiltgeom.matching.companion_rules import (
    Column,
    Ground,
    PrintAndShelf,
    Role,
    judge_shelf,
    overall,
)
from quiltgeom.matching.separation import value_contrast
from quiltgeom.matching.verdicts import MARKS, Judged, Outcome, Verdict, worst
from quiltgeom.model.fabric import Fabric
from quiltgeom.onhand.features import Shelf, features_of
from quiltgeom.onhand.index import OnHand

ALIKE = 6.0
"""Colour difference (CIE94) below which two cloths are one choice: the lesser is not listed."""

_VARIETY = 0.25
"""How much of a score being like an earlier choice costs (maximal marginal relevance)."""

_UNRELATED = 25.0
"""CIE94 beyond which two cloths have nothing in common any more."""

_POOL = 3000
"""Variety is looked for among so many of the best."""

_PAIRED = 24
"""So many different cloths for each role are tried together."""


@dataclass(frozen=True)
class Companion(Judged):
    """A cloth proposed for a role.

    Attributes:
        width: real width of its picture, inches.
        lab: its colour from across the room, CIE L*a*b*.
        role: ``background``, ``accent``, or ``substitute``.
        alike: names of cloths so near to it that they are not listed by themselves.
    """

    id: int
    name: str
    path: Path
    width: float
    lab: tuple[float, float, float]
    role: str
    verdicts: tuple[Verdict, ...]
    alike: tuple[str, ...] = ()

    @property
    def fabric(self) -> Fabric:
        """The cloth, ready to be drawn, as its owner says that it lies.

        >>> Companion(1, "Kelp", Path("kelp.jpg"), 12.0, (50, 0, 0), "accent", ()).fabric.width
        12.0
        """
        fabric = declared_fabric(self.name, image=self.path, width=self.width)
        return replace(fabric, image=cloth_picture(self.path)) if self.path.exists() else fabric

    def lines(self) -> list[str]:
        """The verdicts on it, and its near twins."""
        out = [f"     {MARKS[v.outcome]} {v.title}: {v.sentence}" for v in self.verdicts]
        if self.alike:
            more = f" and {len(self.alike) - 5} more" if len(self.alike) > 5 else ""
            out.append(f"       all but equal: {', '.join(self.alike[:5])}{more}")
        return out

    def to_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "name": self.name,
            "file": str(self.path),
            "width_in": round(self.width, 4),
            "role": self.role,
            "outcome": self.outcome,
            "score": round(self.score, 6),
            "verdicts": [v.to_json() for v in self.verdicts],
            "alike": list(self.alike),
        }


@dataclass(frozen=True)
class Pair(Judged):
    """A background and an accent that are proposed together.

    Attributes:
        verdicts: what the rules say of them together.
    """

    background: Companion
    accent: Companion
    verdicts: tuple[Verdict, ...]

    @property
    def fabrics(self) -> dict[str, Fabric]:
        """Both cloths by role."""
        return {"background": self.background.fabric, "accent": self.accent.fabric}

    @property
    def outcome(self) -> Outcome:
        """The worst of all verdicts, the companions' own included."""
        return worst((*self.background.verdicts, *self.accent.verdicts, *self.verdicts))

    @property
    def score(self) -> float:
        """Three tenths each companion, four tenths what they are together."""
        return _pair_score(self.background.score, self.accent.score, super().score)

    @property
    def fails(self) -> int:
        """How many rules fail, of all."""
        return self.background.fails + self.accent.fails + super().fails

    def to_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "background": self.background.name,
            "accent": self.accent.name,
            "outcome": self.outcome,
            "score": round(self.score, 6),
            "verdicts": [v.to_json() for v in self.verdicts],
        }


@dataclass(frozen=True)
class Companions:
    """What is proposed for a print, best first.

    Attributes:
        pairs: background and accent together; this is the answer.
        backgrounds, accents: each role by itself, to choose from.
        searched: how many swatches were judged.
    """

    pairs: tuple[Pair, ...]
    backgrounds: tuple[Companion, ...]
    accents: tuple[Companion, ...]
    searched: int

    def to_json(self) -> dict[str, Any]:
        """Plain data: lists named ``pairs``, ``backgrounds``, ``accents``."""
        return {
            "searched": self.searched,
            "pairs": [p.to_json() for p in self.pairs],
            "backgrounds": [c.to_json() for c in self.backgrounds],
            "accents": [c.to_json() for c in self.accents],
        }


def _pair_score(background: float, accent: float, together: float) -> float:
    return 0.3 * background + 0.3 * accent + 0.4 * together


def companions_for(
    print_: Reading | Mapping[str, Any],
    on_hand: OnHand | Shelf,
    *,
    most: int = 6,
    ground: Ground = "light",
    need: Mapping[str, tuple[float, float]] | None = None,
    leave_out: Iterable[str] = (),
) -> Companions:
    """Backgrounds, accents, and the two together, for a print.

    Order: fewest failed rules, then the score, less what a choice repeats of those before it.

    Args:
        on_hand: an open index, or its shelf (reuse it to search often).
        most: how many of each to propose.
        ground: ``light`` or ``dark``: what the background is to be.
        need: by role, the width and length of cloth wanted, inches.
        leave_out: digests of swatches not to be proposed (the print itself).

    Raises:
        QuiltValueError: this is no reading, or there is nothing on hand.
    """
    shelf = (on_hand.shelf() if isinstance(on_hand, OnHand) else on_hand).without(leave_out)
    if not len(shelf):
        raise QuiltValueError("companions: found no readable swatch on hand; accepted: at least 1")
    both, wanted = PrintAndShelf(features_of(print_), shelf), need or {}
    back = _Side(both, "background", ground, wanted.get("background"))
    front = _Side(both, "accent", ground, wanted.get("accent"))
    pairs = _pairs(back, front, most)
    return Companions(pairs, back.companions(most), front.companions(most), len(shelf))


class _Side:
    """One role: every swatch judged, and the different ones among the best."""

    def __init__(
        self, both: PrintAndShelf, role: Role, ground: Ground, need: tuple[float, float] | None
    ) -> None:
        self.shelf, self.lab = both.shelf, both.seen
        self.role: Role = role
        self.columns: list[Column] = judge_shelf(both, role, ground, need)
        self.scores, self.fails = overall(self.columns)
        self.chosen, twins = _different(self.scores - self.fails, self.lab, _PAIRED)
        self.alike = {
            i: [j for j in near if self.fails[j] <= self.fails[i]] for i, near in twins.items()
        }

    def companion(self, i: int) -> Companion:
        names = tuple(self.shelf.names[j] for j in self.alike.get(i, ()))
        return proposal(self.shelf, i, self.role, [c.verdict(i) for c in self.columns], names)

    def companions(self, most: int) -> tuple[Companion, ...]:
        return tuple(self.companion(i) for i in self.chosen[:most])


def proposal(
    shelf: Shelf, i: int, role: str, verdicts: Iterable[Verdict], alike: tuple[str, ...] = ()
) -> Companion:
    """The swatch at a place of the shelf, with what the rules say of it."""
    row = shelf.features[i]
    light, a, b = (float(v) for v in row["seen"])
    named, width = (shelf.ids[i], shelf.names[i], shelf.path(i)), float(row["width"])
    return Companion(*named, width, (light, a, b), role, tuple(verdicts), alike)


def _different(worth: Floats, lab: Floats, count: int) -> tuple[list[int], dict[int, list[int]]]:
    """The best that differ (maximal marginal relevance), and what is all but equal to each.

    Likeness looks at colour alone: were loudness part of it, a loud cloth could pass its quiet
    twin for being different from it.
    """
    chosen: list[int] = []
    alike: dict[int, list[int]] = {}
    pool = np.argsort(-np.round(worth, 9), kind="stable")[:_POOL]
    value, colours = worth[pool], lab[pool]
    cost = np.zeros(len(pool))
    while len(chosen) < count and len(pool):
        best = int(np.argmax(np.round(value - _VARIETY * cost, 9)))
        apart = cie94(colours[best], colours)
        near = apart < ALIKE
        near[best] = True
        chosen.append(int(pool[best]))
        alike[chosen[-1]] = [int(i) for i in pool[near] if i != pool[best]]
        cost = np.maximum(cost, np.maximum(0.0, 1.0 - apart / _UNRELATED))
        pool, value, colours, cost = pool[~near], value[~near], colours[~near], cost[~near]
    return chosen, alike


def cie94(one: Floats, others: Floats) -> Floats:
    """CIE94 (graphic arts, CIE 116-1995) from one colour to others: near CIEDE2000, and quick."""
    d = others - one
    c1 = float(np.hypot(one[1], one[2]))
    dc = np.hypot(others[:, 1], others[:, 2]) - c1
    dh2 = np.maximum(d[:, 1] ** 2 + d[:, 2] ** 2 - dc**2, 0.0)
    return np.asarray(
        np.sqrt(d[:, 0] ** 2 + (dc / (1 + 0.045 * c1)) ** 2 + dh2 / (1 + 0.015 * c1) ** 2)
    )


def _pairs(ground: _Side, accent: _Side, most: int) -> tuple[Pair, ...]:
    """The best different pairs among the different cloths of each side."""
    made = []
    for i in ground.chosen:
        for j in accent.chosen:
            if i != j:
                verdict = value_contrast(float(ground.lab[i, 0]), float(accent.lab[j, 0]))
                score = _pair_score(ground.scores[i], accent.scores[j], verdict.score)
                failing = ground.fails[i] + accent.fails[j] + (verdict.outcome == "fail")
                made.append((i, j, verdict, float(score - failing)))
    worth = np.array([m[3] for m in made])
    cost = np.zeros(len(made))
    backs = np.array([m[0] for m in made], dtype=int)
    fronts = np.array([m[1] for m in made], dtype=int)
    out: list[Pair] = []
    while len(out) < most and len(out) < len(made):
        k = int(np.argmax(np.round(worth - _VARIETY * cost, 9)))
        i, j, verdict, _ = made[k]
        out.append(Pair(ground.companion(i), accent.companion(j), (verdict,)))
        worth[k] = -np.inf
        near = [
            np.maximum(0.0, 1 - cie94(s.lab[m], s.lab[of]) / _UNRELATED)
            for s, m, of in ((ground, i, backs), (accent, j, fronts))
        ]
        cost = np.maximum(cost, 0.5 * near[0] + 0.5 * near[1])
    return tuple(out)
