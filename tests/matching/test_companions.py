"""Companions, rule by rule, on made-up readings; twins; variety; substitutes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltgeom.colour import delta_e_2000
from quiltgeom.errors import QuiltValueError
from quiltgeom.matching.alike import something_like
from quiltgeom.matching.companion_rules import PrintAndShelf, judge_shelf
from quiltgeom.matching.companions import Companion, cie94, companions_for
from quiltgeom.onhand.features import SOLID, features_of
from tests.matching.shelves import made_up, random_shelf, shelf_of

NAVY, RED, CREAM, AQUA, SAND = "#1f3a5c", "#c8473a", "#f3ead8", "#cfe3e6", "#cfc2a8"
PRINT = made_up((AQUA, 0.55), (NAVY, 0.2), (RED, 0.15), (CREAM, 0.1), loudness=0.5, motif=4.0)


def verdicts(companion: Companion) -> dict[str, tuple[str, str]]:
    return {v.rule: (v.outcome, v.sentence) for v in companion.verdicts}


def only(reading: dict[str, Any], role: str, **options: Any) -> dict[str, tuple[str, str]]:
    """The rules' verdicts on one cloth."""
    found = companions_for(PRINT, shelf_of({"it": reading}), **options)
    return verdicts((found.backgrounds if role == "background" else found.accents)[0])


@pytest.mark.parametrize(
    ("loudness", "expected"),
    [
        (0.02, "pass"),
        (SOLID, "pass"),
        (0.19, "pass"),
        (0.3, "caution"),
        (0.45, "fail"),
        (0.9, "fail"),
    ],
)
def test_quiet(loudness: float, expected: str) -> None:
    """Background beside a print of loudness 0.5: up to 0.20 passes, from 0.375 fails."""
    outcome, sentence = only(made_up(CREAM, loudness=loudness), "background")["quiet"]
    assert outcome == expected
    assert f"{loudness:.2f}" in sentence


def test_a_solid_is_quiet_beside_the_quietest_print() -> None:
    found = companions_for({**PRINT, "loudness": 0.05}, shelf_of({"it": made_up(CREAM)}))
    assert verdicts(found.backgrounds[0])["quiet"][0] == "pass"


def test_background_picks_up_a_light_colour_and_accent_a_strong_one() -> None:
    assert only(made_up(CREAM), "background")["colour"][0] == "pass"
    assert only(made_up(NAVY), "background")["colour"][0] != "pass"
    for strong in (NAVY, RED):
        outcome, sentence = only(made_up(strong), "accent")["colour"]
        assert outcome == "pass"
        assert "CIEDE2000 0.0" in sentence
    assert only(made_up(CREAM), "accent")["colour"][0] != "pass"
    assert only(made_up("#3f7a3a"), "accent")["colour"][0] == "fail"  # green: not in this print


def test_a_drab_shade_of_a_clear_print_is_no_strong_colour() -> None:
    """Between a print's navy and its red there are mixtures; in a muted print they are its own."""
    drab = "#626b5c"
    shelf = shelf_of({"it": made_up(drab)})
    clear = companions_for(made_up((NAVY, 0.6), (RED, 0.3), (drab, 0.1), loudness=0.5), shelf)
    assert "picks up" not in verdicts(clear.accents[0])["colour"][1]
    muted = companions_for(made_up((SAND, 0.8), (drab, 0.2), loudness=0.5), shelf)
    assert "picks up" in verdicts(muted.accents[0])["colour"][1]


def test_near_means_ciede2000() -> None:
    """Sharma, Wu and Dalal's formula decides, at 10 and at 18 (thresholds of our own)."""
    print_lab = features_of(made_up(RED))["lab"][0].astype(float)
    for shift in range(0, 60, 4):
        ink = f"#{0xC8:02x}{0x47 + shift:02x}{0x3A + shift:02x}"
        lab = features_of(made_up(ink))["lab"][0].astype(float)
        apart = float(delta_e_2000(print_lab, lab))
        found = companions_for(made_up(RED, loudness=0.5), shelf_of({"it": made_up(ink)}))
        outcome = verdicts(found.accents[0])["colour"][0]
        assert (outcome == "pass") == (apart <= 10), (ink, apart)


def test_a_stated_harmony_is_a_caution_and_said() -> None:
    complement = made_up("#7d6a14")  # an ochre: opposite the print's blue on the CIELAB circle
    focus = made_up(("#2d5f93", 1.0), loudness=0.5)
    found = companions_for(focus, shelf_of({"it": complement}))
    outcome, sentence = verdicts(found.accents[0])["colour"]
    assert (outcome, "complement" in sentence) == ("caution", True)
    grey = verdicts(companions_for(focus, shelf_of({"it": made_up("#777777")})).accents[0])
    assert grey["colour"][0] == "caution"
    assert "neutral" in grey["colour"][1]


def test_clear_with_clear_and_muted_with_muted() -> None:
    for own, other, expected in ((0.8, 0.75, "pass"), (0.2, 0.8, "fail"), (0.5, 0.8, "caution")):
        focus = {**PRINT, "chroma": {"mean": 30.0, "purity": own}}
        found = companions_for(focus, shelf_of({"it": made_up(RED, purity=other)}))
        assert verdicts(found.accents[0])["clear-or-muted"][0] == expected
    white = companions_for(PRINT, shelf_of({"it": made_up("#fbfaf5", purity=0.0)}))
    assert verdicts(white.backgrounds[0])["clear-or-muted"][0] == "pass"


def test_another_scale_than_the_print() -> None:
    def scale(motif: float | None, loudness: float = 0.18) -> str:
        return only(made_up(CREAM, motif=motif, loudness=loudness), "background")["scale"][0]

    assert (scale(0.5), scale(None), scale(4.0), scale(2.5)) == ("pass", "pass", "fail", "caution")
    assert scale(4.0, loudness=0.03) == "pass"  # figures that are not seen do not compete
    some = shelf_of({"it": made_up(CREAM, motif=1.0, loudness=0.18)})
    unknown = companions_for({**PRINT, "motif_in": {"typical": None}}, some)
    assert verdicts(unknown.backgrounds[0])["scale"][0] == "caution"


def test_the_background_sets_the_print_off_and_stays_back() -> None:
    own_ground = only(made_up(AQUA), "background")["sets-off"]
    assert own_ground[0] == "caution"
    assert only(made_up("#fdf8e6"), "background")["sets-off"][0] == "pass"
    assert only(made_up("#f8db55"), "background")["calm-colour"][0] != "pass"
    assert only(made_up(NAVY), "background")["light"][0] == "fail"
    assert only(made_up(NAVY), "background", ground="dark")["dark"][0] == "pass"


def test_value_between_the_two_decides_for_the_pair() -> None:
    """A tan as light as the background cannot be its accent, whatever else speaks for it."""
    found = companions_for(
        PRINT,
        shelf_of({"cream": made_up(CREAM), "navy": made_up(NAVY), "pale": made_up("#f0dcd6")}),
    )
    best = found.pairs[0]
    assert (best.background.name, best.accent.name) == ("cream", "navy")
    merged = next(p for p in found.pairs if {p.background.name, p.accent.name} == {"cream", "pale"})
    assert merged.verdicts[0].outcome == "fail"
    assert "merge" in merged.verdicts[0].sentence
    assert found.pairs.index(merged) > 0


def test_enough_cloth_where_the_need_is_known() -> None:
    cloths = {
        "scrap": made_up(CREAM),
        "bolt": made_up(CREAM, loudness=0.08),
        "unknown": made_up("#f5efe0", loudness=0.08),
    }
    shelf = shelf_of(cloths, {"scrap": 10.0, "bolt": 120.0})
    need = {"background": (40.0, 54.0)}
    without = companions_for(PRINT, shelf)
    assert without.backgrounds[0].name == "scrap"  # a shade quieter
    assert "enough-cloth" not in verdicts(without.backgrounds[0])
    found = companions_for(PRINT, shelf, need=need, most=9)
    assert found.backgrounds[0].name == "bolt"
    assert verdicts(found.backgrounds[0])["enough-cloth"] == (
        "pass",
        '120" on hand; 40" x 54" wanted',
    )
    narrow = replace(shelf, width_on_hand=np.array([np.nan, 22.0, np.nan]))
    both = PrintAndShelf(features_of(PRINT), narrow)
    outcomes = judge_shelf(both, "background", need=need["background"])
    assert outcomes[-1].outcomes.tolist() == [2, 2, 1]


LOUD = st.floats(0.0, 1.0)


@settings(max_examples=60, deadline=None)
@given(
    quiet=LOUD,
    louder=st.floats(0.003, 1.0),
    own=st.floats(0.02, 1.0),
    seed=st.integers(0, 9),
    motif=st.one_of(st.none(), st.floats(0.05, 8)),
    first=st.booleans(),
)
def test_a_loud_companion_never_outranks_its_quiet_twin(
    quiet: float, louder: float, own: float, seed: int, motif: float | None, first: bool
) -> None:
    """The same cloth twice, once louder, among others; whichever is met first on the shelf."""
    loud = min(1.0, quiet + louder)
    if loud - quiet < 0.003:
        return
    shelf = random_shelf(20, seed)
    for colours in ((CREAM,), (NAVY,), (RED, "#d98a78")):
        twins = {
            "aa-twin" if first else "zz-twin": made_up(*colours, loudness=loud, motif=motif),
            "quiet": made_up(*colours, loudness=quiet, motif=motif),
        }
        names = ("aa-twin" if first else "zz-twin", "quiet")
        extra = shelf_of(twins)
        both = replace(
            shelf,
            ids=(*shelf.ids, 100, 101),
            names=(*shelf.names, *names),
            files=(*shelf.files, *extra.files),
            digests=(*shelf.digests, *names),
            features=np.concatenate([shelf.features, extra.features]),
            width_on_hand=np.full(22, np.nan),
            length_on_hand=np.full(22, np.nan),
        )
        found = companions_for({**PRINT, "loudness": own}, both, most=22)
        for listed in (
            [c.name for c in found.backgrounds],
            [c.name for c in found.accents],
            [p.background.name for p in found.pairs],
            [p.accent.name for p in found.pairs],
        ):
            if names[0] in listed:
                assert "quiet" in listed
                assert listed.index("quiet") < listed.index(names[0])


def test_not_ten_near_identical_creams() -> None:
    rng = np.random.default_rng(3)
    creams = {
        f"cream-{k}": made_up(f"#f3{0xEA + rng.integers(-3, 4):02x}d8", loudness=0.02)
        for k in range(10)
    }
    others = {
        "aqua": made_up("#b9e2d8", loudness=0.1),
        "fog": made_up("#cdd0cd", loudness=0.1),
        "blush": made_up("#f3d2c4", loudness=0.1),
        "navy": made_up(NAVY),
        "red": made_up(RED),
    }
    found = companions_for(PRINT, shelf_of(creams | others), most=4)
    names = [c.name for c in found.backgrounds]
    assert sum(n.startswith("cream") for n in names) == 1
    cream = next(c for c in found.backgrounds if c.name.startswith("cream"))
    assert len(cream.alike) == 9
    for i, one in enumerate(found.backgrounds):
        for other in found.backgrounds[i + 1 :]:
            assert cie94(np.array(one.lab), np.array([other.lab]))[0] >= 6.0
    assert len({(p.background.name, p.accent.name) for p in found.pairs}) == len(found.pairs)
    assert len({p.accent.name for p in found.pairs[:2]}) == 2


def test_order_of_the_shelf_and_leaving_out() -> None:
    shelf = random_shelf(60, 4)
    back = np.arange(60)[::-1]
    turned = replace(
        shelf,
        ids=shelf.ids[::-1],
        names=shelf.names[::-1],
        files=shelf.files[::-1],
        digests=shelf.digests[::-1],
        features=shelf.features[back],
    )
    one, other = companions_for(PRINT, shelf), companions_for(PRINT, turned)
    assert one.to_json()["pairs"] == other.to_json()["pairs"]
    best = one.backgrounds[0].name
    without = companions_for(PRINT, shelf, leave_out=[best])
    assert best not in [c.name for c in without.backgrounds]
    assert without.searched == 59


def test_pairs_never_use_one_cloth_twice_and_need_a_shelf() -> None:
    assert companions_for(PRINT, shelf_of({"it": made_up(CREAM)})).pairs == ()
    with pytest.raises(QuiltValueError, match="no readable swatch"):
        companions_for(PRINT, shelf_of({}))
    with pytest.raises(QuiltValueError, match="reading"):
        companions_for({"palette": []}, shelf_of({"it": made_up(CREAM)}))


def test_cie94_is_near_ciede2000() -> None:
    """Good enough to tell like from unlike: rank correlation on light and dark, clear and muted.
    CIE 116-1995; CIEDE2000 refines it."""
    rng = np.random.default_rng(1)
    lab = np.column_stack([rng.uniform(10, 95, 400), rng.normal(0, 25, (400, 2))])
    fast, full = cie94(lab[0], lab[1:]), delta_e_2000(lab[0], lab[1:])
    ranks = [np.argsort(np.argsort(v)) for v in (fast, full)]
    assert np.corrcoef(*ranks)[0, 1] > 0.9
    assert cie94(lab[0], lab[:1])[0] == pytest.approx(0.0, abs=1e-9)


def test_something_like_it_knows_itself_and_its_kin() -> None:
    shelf = random_shelf(300, 8)
    data = made_up((AQUA, 0.6), (NAVY, 0.4), loudness=0.4, motif=1.0)
    kin = shelf_of(
        {
            "twin": data,
            "bigger": made_up((AQUA, 0.6), (NAVY, 0.4), loudness=0.4, motif=4.0),
            "calmer": made_up((AQUA, 0.6), (NAVY, 0.4), loudness=0.1, motif=1.0),
            "redder": made_up((AQUA, 0.6), (RED, 0.4), loudness=0.4, motif=1.0),
        }
    )
    both = replace(
        shelf,
        ids=(*shelf.ids, 1000, 1001, 1002, 1003),
        names=(*shelf.names, *kin.names),
        files=(*shelf.files, *kin.files),
        digests=(*shelf.digests, *kin.names),
        features=np.concatenate([shelf.features, kin.features]),
        width_on_hand=np.full(304, np.nan),
        length_on_hand=np.full(304, np.nan),
    )
    found = something_like(data, both, most=4)
    assert found[0].name == "twin"
    assert found[0].score == pytest.approx(1.0, abs=1e-6)
    assert found[0].outcome == "pass"
    assert (
        verdicts(something_like(data, shelf_of({"b": made_up(AQUA, NAVY, motif=4.0)}))[0])[
            "alike-scale"
        ][0]
        == "fail"
    )
    assert something_like(data, both, most=4, leave_out=["twin"])[0].name != "twin"
    with pytest.raises(QuiltValueError):
        something_like(data, shelf_of({}))
