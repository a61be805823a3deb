"""Design files: every fault reported, nothing lost on the way out and in again."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltgeom.errors import ContentError, QuiltFileError
from quiltgeom.library.design_file import design_from_data, design_text, load_design
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import DIRECTIONS, Fabric, Repeat


def test_all_faults_of_a_design_are_reported_together(tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(
        'pattern = ""\nrows = 0\nblok = 3\nsize = ["44 in"]\n'
        '[fabric.focus]\nimage = "a.png"\ncolour = "#fff"\nwidth = "wide"\ndirection = "up"\n'
        "[fabric.accent]\nrepeat = [1, -2]\n"
    )
    with pytest.raises(ContentError) as caught:
        load_design(path)
    text = str(caught.value)
    for part in (
        "pattern is a text",
        "rows is a whole number",
        "'blok'",
        "size is a list of 2",
        "fabric.focus: width is a length",
        "fabric.focus: direction",
        "both of picture and colour",
        "fabric.accent: repeat is a list of 2 lengths",
        "fabric.accent: a fabric has a picture",
    ):
        assert part in text, part
    assert all(line.startswith("bad.toml") for line in text.splitlines())


def test_missing_and_malformed_files(tmp_path: Path) -> None:
    with pytest.raises(QuiltFileError, match="found no such file"):
        load_design(tmp_path / "none.toml")
    (tmp_path / "x.toml").write_text("pattern = ")
    with pytest.raises(ContentError, match="valid TOML"):
        load_design(tmp_path / "x.toml")
    (tmp_path / "y.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(QuiltFileError, match="UTF-8"):
        load_design(tmp_path / "y.toml")


def test_pictures_are_found_beside_the_design(tmp_path: Path) -> None:
    (tmp_path / "d").mkdir()
    path = tmp_path / "d" / "a.toml"
    path.write_text('pattern = "gull-cove"\n[fabric.focus]\nimage = "../s/x.jpg"\nwidth = 12\n')
    image = load_design(path).fabrics["focus"].image
    assert image is not None
    assert image.resolve() == (tmp_path / "s" / "x.jpg").resolve()


lengths = st.integers(1, 400).map(lambda n: n / 8)
fabrics = st.builds(
    Fabric,
    name=st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=12),
    colour=st.none(),
    image=st.sampled_from([Path("a.png"), Path("x/ü b.jpg")]),
    width=st.none() | lengths,
    direction=st.sampled_from(DIRECTIONS),
    up_deg=st.sampled_from([0.0, 90.0, -12.5]),
    repeat=st.none()
    | st.builds(Repeat, lengths, lengths, st.sampled_from(["straight", "half-drop", "brick"])),
    motif=st.none() | st.tuples(lengths, lengths),
) | st.builds(Fabric, name=st.just("plain"), colour=st.sampled_from(["#a0b0c0", "#fff"]))
designs = st.builds(
    Design,
    pattern=st.just("gull-cove"),
    fabrics=st.dictionaries(st.sampled_from(["focus", "accent", "back-ground"]), fabrics),
    title=st.sampled_from(["", 'Say "hi"\\ \t \n', "\x7f\x85", "Möwe"]),
    rows=st.none() | st.integers(1, 9),
    block_size=st.none() | lengths,
    borders=st.none() | st.lists(lengths, max_size=3).map(tuple),
    seed=st.integers(0, 99),
    fussy=st.sampled_from([(), ("focus",)]),
)


@settings(deadline=None)
@given(designs)
def test_a_design_survives_being_saved_and_read(design: Design) -> None:
    import tomllib

    text = design_text(design, Path("."))
    again = design_from_data(tomllib.loads(text), folder=Path("."), where="x.toml")
    assert again == design
    assert design_text(again, Path(".")) == text
