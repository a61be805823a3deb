"""What clues to a print's direction say together: products that a linear model cannot form."""

from collections.abc import Mapping


def joint_clues(clues: Mapping[str, float]) -> dict[str, float]:
    """Clues made of others, each within about -1 .. 1.

    Args:
        clues: as measured, see :mod:`~quiltgeom.fabric.reading.directions.direction_features`.
    """
    c = clues
    turns = 1 - c["half fits"]  # looks different upside down
    two = max(c["half fits"], c["gain 180"])
    isotropic = (1 - c["slopes 2"]) * (1 - c["slopes 4"])
    votes = _elected(clues)
    return votes | {
        "free": c["many"] * (1 - c["level"]) * turns,
        "two": two,
        "four": min(max(c["quarter fits"], c["gain 90"] * c["many"]), two),
        "mirror only": c["left_right fits"] * turns,
        "own up": c["left_right fits"] * turns * (1 - c["many"]),
        "isotropic": isotropic,
        "isotropic texture": isotropic * turns * (1 - c["recurs"]),
        "half in doubt": c["half fits"] * c["half more"],
        "one figure": (1 - c["things"]) * turns * (1 - c["waves"]),
        "one motif": (1 - c["many"]) * turns * c["recurs"],
        "sure and turns": c["sure"] * turns,
        "odd and turns": c["odd"] * turns,
        "figures mirror and turns": c["figures mirror up"] * turns,
        "mirror and turns": c["mirror up"] * turns,
        "grain": c["slopes 2"] * turns * (1 - max(votes["all upright"], votes["every way"])),
        "rich grain": c["slopes 2"] * turns * c["waves"],
        "rich texture": isotropic * turns * c["waves"],
        "figures upright": max(c["figures less 180"], 0.0) * c["figures recurs"],
        "upright and turns": votes["all upright"] * turns,
        "up and down and turns": votes["up and down"] * turns,
    }


def _elected(clues: Mapping[str, float]) -> dict[str, float]:
    """What the votes of motifs and of whole figures come to, the more decided of the two."""
    out = {"all upright": 0.0, "up and down": 0.0, "every way": 0.0}
    for kind in ("", "figures "):
        up, down, aside, aslant, many = (
            clues[f"{kind}{k}"] for k in ("vote 0", "vote 180", "vote 90", "vote aslant", "votes")
        )
        anyhow = max(aside, aslant)
        won = (up * (1 - down) * (1 - anyhow), down * (1 - anyhow), anyhow)
        out = {k: max(v, many * w) for (k, v), w in zip(out.items(), won, strict=True)}
    return out
