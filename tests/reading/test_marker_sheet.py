"""Marker sheets: drawn in perspective by known homographies, and in path-traced photographs.

The photographs (``marker_photos/``) are the demo's swatches on a table, the page printed onto a
plain sheet beside them by ``tests/benchmarks/marker_photos.py``; they were looked at while the
finding was built.
"""

from __future__ import annotations

import io
import json
from pathlib import Path

import cv2
import numpy as np
import pypdf
import pytest
from click.testing import CliRunner
from PIL import Image

from quiltgeom.cli import cli
from quiltgeom.colour import delta_e_2000, from_hex, linear_light, linear_to_srgb, rgb_to_lab
from quiltgeom.demo.swatches import SWATCHES, draw_swatch
from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.photo.markers.marker_sheet import (
    HALF_IN,
    MARKERS_AT,
    STEPS,
    STEPS_AT,
    find_sheets,
    on_sheet,
    projected,
)
from quiltgeom.fabric.photo.markers.sheet_tells import PAPER_WHITE, paper_light
from quiltgeom.fabric.photo.prepare import Calibration, prepare
from quiltgeom.fabric.reading.palette import read_palette
from quiltgeom.fabric.reading.read_file import read_swatch
from quiltgeom.jobs.make import marker_sheet
from quiltgeom.render.png import png_bytes
from quiltgeom.tracing.marker_page import marker_page, sheet_place

PHOTOS = Path(__file__).parent / "marker_photos"
TABLE = (0.30, 0.18, 0.10)  # linear light
PPI = 60


def page(paper: str) -> np.ndarray:
    """The page in linear light, as bright as its paper is."""
    drawn = Image.open(io.BytesIO(png_bytes(marker_page(paper), ppi=PPI))).convert("RGB")
    return linear_light(np.asarray(drawn)) * PAPER_WHITE


def scene(
    paper: str = "letter", half: int = 0, at: tuple[float, float] = (14.0, 3.0)
) -> tuple[np.ndarray, np.ndarray]:
    """A table 24 x 16 in (linear light) with a swatch from (1, 2) to (13, 14), half a page laid
    at ``at``; and the swatch."""
    light = np.full((16 * PPI, 24 * PPI, 3), TABLE)
    swatch = np.asarray(draw_swatch("market-lemons", PPI))
    light[2 * PPI :, PPI:][: 12 * PPI, : 12 * PPI] = linear_light(swatch) * 0.85
    sheet = np.array_split(page(paper), 2)[half]
    x, y = (round(v * PPI) for v in at)
    light[y : y + sheet.shape[0], x : x + sheet.shape[1]] = sheet
    return light, swatch


def view(tilt_deg: float, width: int, turn_deg: float = 20.0) -> np.ndarray:
    """From inches on the table to pixels of a photo 4 : 3 (pinhole; Hartley and Zisserman,
    Multiple View Geometry, 8.1.1), the camera tilted about an axis that is turned."""
    t, a = np.radians([tilt_deg, turn_deg])
    about_x = np.array([[1, 0, 0], [0, np.cos(t), -np.sin(t)], [0, np.sin(t), np.cos(t)]])
    about_z = np.array([[np.cos(a), -np.sin(a), 0], [np.sin(a), np.cos(a), 0], [0, 0, 1]])
    turned = about_z.T @ about_x @ about_z
    focal = 26 / 43.267 * 1.25 * width
    camera = np.array([[focal, 0, width / 2], [0, focal, width * 3 / 8], [0, 0, 1]])
    pose = np.column_stack([turned[:, 0], turned[:, 1], [0, 0, 21]])
    return camera @ pose @ np.array([[1, 0, -12], [0, 1, -8], [0, 0, 1.0]])


def taken(
    light: np.ndarray, to_photo: np.ndarray, width: int, gain: tuple[float, ...] = (1, 1, 1)
) -> np.ndarray:
    """The photo of a table: sRGB, a little blurred."""
    middle = np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1]])
    place = middle @ to_photo @ np.diag([1 / PPI, 1 / PPI, 1]) @ np.linalg.inv(middle)
    size = (width, width * 3 // 4)
    seen = cv2.warpPerspective(light, place, size, flags=cv2.INTER_AREA, borderValue=TABLE)
    seen = cv2.GaussianBlur(seen, (0, 0), width / 1600) * gain
    return np.rint(255 * linear_to_srgb(seen)).astype(np.uint8)


@pytest.mark.parametrize(("tilt", "width"), [(0, 1600), (20, 1600), (35, 1600), (35, 3600)])
def test_markers_lie_where_they_were_drawn(tilt: float, width: int) -> None:
    to_photo = view(tilt, width)
    (sheet,) = find_sheets(taken(scene()[0], to_photo, width))
    assert (sheet.paper, sorted(sheet.places)) == ("letter", [0, 1, 2, 3])
    on_table = on_sheet(sheet.places).reshape(-1, 2) + sheet_place("letter", 0) + (14.0, 3.0)
    off = sheet.points.reshape(-1, 2) - projected(to_photo, on_table)
    assert np.hypot(*off.T).max() < width / 1600
    middles = sheet.in_photo(on_sheet((0, 1, 2, 3)).mean(axis=1))
    assert np.linalg.norm(middles - sheet.points.mean(axis=1)[np.argsort(sheet.places)]) < 12


@pytest.mark.parametrize(("paper", "half"), [("letter", 1), ("a4", 0), ("a4", 1)])
def test_the_numbers_tell_the_paper(paper: str, half: int) -> None:
    (sheet,) = find_sheets(taken(scene(paper, half)[0], view(10, 1600), 1600))
    assert (sheet.paper, sorted(sheet.places)) == (paper, [0, 1, 2, 3])


@pytest.mark.parametrize("tilt", [3, 25])
def test_the_sheet_tells_width_and_colour_of_cloth(tilt: float) -> None:
    light, swatch = scene()
    photo = taken(light, view(tilt, 1600), 1600, gain=(0.8, 0.6, 0.35))
    ready = prepare(photo, Calibration(), 26.0)
    assert len(ready.corners) == 4
    assert [s.by for s in ready.scales] == ["marker sheet"]
    assert ready.scales[0].width_in / ready.kept == pytest.approx(12.0, rel=0.01)
    assert any("balanced by the marker sheet" in note for note in ready.notes)
    lemon, seen = (np.median(p[p[..., 2] < 90], axis=0) for p in (swatch, ready.rgb))
    true = 255 * linear_to_srgb(linear_light(lemon / 255) * 0.85)
    assert delta_e_2000(*(rgb_to_lab(v / 255) for v in (true, seen))) < 3


def test_where_its_paper_is_burnt_out_its_greys_tell() -> None:
    photo = taken(scene()[0], view(5, 1600), 1600, gain=(1.6, 1.5, 1.4))
    told = paper_light(photo, find_sheets(photo))
    assert told is not None
    assert not told[1]
    assert told[0] == pytest.approx(PAPER_WHITE * np.array([1.6, 1.5, 1.4]), rel=0.03)
    notes = prepare(photo, Calibration(), 26.0).notes
    assert any("its paper is burnt out" in note for note in notes)


def test_a_white_area_that_was_given_wins() -> None:
    photo = taken(scene()[0], view(5, 1600), 1600, gain=(0.8, 0.6, 0.35))
    notes = prepare(photo, Calibration(white=(10, 10, 60, 60)), 26.0).notes
    assert any("by the white or grey area" in note for note in notes)
    assert not any("marker sheet" in note for note in notes if "balanced" in note)


def test_cloth_that_fills_the_photo_has_a_width_and_no_sheet_in_it() -> None:
    light, _ = scene()
    swatch = linear_light(np.asarray(draw_swatch("kelp", PPI))) * 0.85
    light = np.tile(swatch, (2, 2, 1))[: 16 * PPI, : 24 * PPI]
    sheet = np.array_split(page("letter"), 2)[0]
    light[: sheet.shape[0], -sheet.shape[1] :] = sheet
    to_photo = np.diag([1600 / 24, 1600 / 24, 1.0])
    photo = taken(light, to_photo, 1600)[: 16 * 1600 // 24]
    for known in (Calibration(), Calibration(whole=True)):
        ready = prepare(photo, known)
        assert ready.scales[0].width_in / ready.kept == pytest.approx(24.0, rel=0.02)
        assert find_sheets(ready.rgb) == ()
        assert any("beside the marker sheet" in note for note in ready.notes)
        assert ready.rgb.mean(axis=2).max() < 240  # no paper


@pytest.mark.parametrize("at", [(11.0, 8.0), (9.0, 10.0), (2.5, 4.0)])
def test_a_sheet_on_the_cloth_is_not_taken_for_cloth(at: tuple[float, float]) -> None:
    ready = prepare(taken(scene(at=at)[0], view(8, 1600), 1600), Calibration(), 26.0)
    assert ready.scales[0].width_in / ready.kept == pytest.approx(12.0, rel=0.02)
    assert find_sheets(ready.rgb) == ()
    assert any("beside the marker sheet" in note for note in ready.notes)
    grey = np.ptp(ready.rgb.astype(int), axis=2) < 12
    dark = ready.rgb.max(axis=2) < 70
    assert (grey & dark).mean() < 0.005  # nothing printed in black


def test_with_corners_given_a_sheet_on_the_cloth_is_left_out_too() -> None:
    to_photo = view(8, 1600)
    photo = taken(scene(at=(11.0, 8.0))[0], to_photo, 1600)
    corners = projected(to_photo, np.array([(1, 2), (13, 2), (13, 14), (1, 14.0)]))
    places = tuple((float(x), float(y)) for x, y in corners)
    alone = prepare(photo, Calibration(corners=places), 26.0)
    assert alone.scales[0].width_in == pytest.approx(12.0 * alone.kept, rel=0.01)
    sized = prepare(photo, Calibration(corners=places, rectangle_in=(12.0, 12.0)))
    for ready in (alone, sized):
        assert find_sheets(ready.rgb) == ()
        assert ready.kept == pytest.approx(10 / 12, abs=0.02)
    assert sized.width_in == pytest.approx(10.0, abs=0.2)


def test_sheets_that_do_not_lie_as_drawn_are_none() -> None:
    light, _ = scene()
    a, b = (round(v * PPI) for v in (14.2, 2.9))
    torn = light.copy()  # its lower half moved sideways, as no camera does
    lower = light[b + 3 * PPI : b + 6 * PPI, a:].copy()
    torn[b + 3 * PPI : b + 6 * PPI, a:] = np.roll(lower, 40, axis=1)
    assert len(find_sheets(taken(light, view(5, 1600), 1600))) == 1
    assert find_sheets(taken(torn, view(5, 1600), 1600)) == ()


def test_no_sheet_is_found_where_none_lies() -> None:
    drawn = [s.name for s in SWATCHES if find_sheets(np.asarray(draw_swatch(s.name, 40)))]
    photos = [p.name for p in PHOTOS.parent.glob("photos/*.jpg") if find_sheets(_pixels(p))]
    assert (drawn, photos) == ([], [])


def _pixels(path: Path) -> np.ndarray:
    return np.asarray(Image.open(path).convert("RGB"))


WIDTHS_IN = {
    "bright-desk_reed-herons": 15.0,
    "evening-lamp_gull-weather": 12.0,
    "kitchen-table_galley-check-blue": 18.0,
    "steep_harbour-sprig": 15.0,
}
"""How wide the cloth in the photographs was made."""


@pytest.mark.parametrize(("name", "width_in"), WIDTHS_IN.items())
def test_photographs_tell_width_and_colours_by_their_sheets(name: str, width_in: float) -> None:
    path = PHOTOS / f"{name}.jpg"
    read = read_swatch(path)
    assert read.width_in == pytest.approx(width_in, rel=0.03)
    assert any("by the marker sheet it is" in note for note in read.notes)
    swatch = np.asarray(draw_swatch(name.split("_")[1], 40))
    print_, seen = (
        rgb_to_lab(np.stack([from_hex(c.hex) for c in p]))
        for p in (read_palette(swatch), read.palette)
    )
    nearest = delta_e_2000(print_[:, None], seen[None]).min(axis=1)
    assert nearest[0] < 6  # its main colour


def test_without_its_sheet_the_lamp_would_tint_the_cloth() -> None:
    swatch = np.asarray(draw_swatch("gull-weather", 40))
    photo = _pixels(PHOTOS / "evening-lamp_gull-weather.jpg")
    ready = prepare(photo, Calibration(), 26.0)
    corners = np.array(ready.corners)
    x, y = (slice(*np.percentile(v, (30, 70)).astype(int)) for v in corners.T)
    wrong = [
        float(delta_e_2000(*(rgb_to_lab(np.median(p, axis=(0, 1)) / 255) for p in (swatch, q))))
        for q in (photo[y, x], ready.rgb)
    ]
    assert wrong[0] > 10
    assert wrong[1] < 4


@pytest.mark.parametrize(
    ("paper", "size_mm"), [("letter", (8.5 * 25.4, 11 * 25.4)), ("a4", (210.0, 297.0))]
)
def test_the_page_is_a_sheet_of_paper(paper: str, size_mm: tuple[float, float]) -> None:
    """ANSI/ASME Y14.1 A, ISO 216; a sheet is half of it."""
    drawn = marker_page(paper)
    assert (drawn.width * 25.4, drawn.height * 25.4) == pytest.approx(size_mm, abs=0.02)
    assert (HALF_IN[paper][0], 2 * HALF_IN[paper][1]) == pytest.approx(
        (drawn.width, drawn.height), abs=0.001
    )


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_page_shows_markers_and_greys_in_their_places(paper: str) -> None:
    rgb = np.rint(255 * linear_to_srgb(page(paper) / PAPER_WHITE)).astype(np.uint8)
    sheets = find_sheets(rgb)
    assert sorted(s.places for s in sheets if s.paper == paper) == sorted(s.places for s in sheets)
    assert len(sheets) == 2
    for half in (0, 1):
        x, y = sheet_place(paper, half)
        for light, (left, top, w, h) in zip(STEPS, STEPS_AT, strict=True):
            pixel = rgb[int((y + top + h / 2) * PPI), int((x + left + w / 2) * PPI)] / 255
            assert linear_light(pixel) == pytest.approx([light] * 3, abs=0.005)
    found = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_50))
    _, numbers, _ = found.detectMarkers(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY))
    first = 8 * ["letter", "a4"].index(paper)
    assert sorted(numbers.ravel().tolist()) == list(range(first, first + 8))
    corner = min(sheets, key=lambda s: s.points[..., 1].min()).in_photo(np.array(MARKERS_AT))
    assert corner == pytest.approx((np.array(MARKERS_AT) + sheet_place(paper, 0)) * PPI, abs=0.7)


def test_the_command_writes_the_page(tmp_path: Path) -> None:
    out = tmp_path / "marker.pdf"
    done = CliRunner().invoke(cli, ["marker", "--paper", "a4", "-o", str(out), "--json"])
    assert done.exit_code == 0, done.output
    assert json.loads(done.stdout)["paper"] == "a4"
    size = pypdf.PdfReader(out).pages[0].mediabox
    assert (round(float(size.width)), round(float(size.height))) == (595, 842)
    first = out.read_bytes()
    CliRunner().invoke(cli, ["marker", "--paper", "a4", "-o", str(out)])
    assert out.read_bytes() == first


def test_a_paper_that_is_not_known_is_refused() -> None:
    done = CliRunner().invoke(cli, ["marker", "--paper", "a5", "-o", "x.pdf"])
    assert done.exit_code == 2
    with pytest.raises(QuiltValueError, match=r"a5.*letter, a4"):
        marker_sheet("a5")
