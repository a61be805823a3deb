"""Marker sheets in photographs: printed onto the plain sheets of simulated ones, found, measured.

    python -m tests.benchmarks.marker_photos PHOTOS FLAT OUT

PHOTOS: a folder of the studio's photographs (``.jpg``) that show a plain Letter or A4 sheet, each
with its truth (``.json``) and its mask (``.mask.png``). FLAT: the flat swatches, by the last part
of the photographs' names (``steep_kelp.jpg``). OUT: where the photographs with marker sheets are
written.
"""

from __future__ import annotations

import argparse
import io
import json
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

from quiltgeom.colour import delta_e_2000, from_hex, linear_light, linear_to_srgb, rgb_to_lab
from quiltgeom.fabric.image import image_info, load_image
from quiltgeom.fabric.photo.calibrate import even_light
from quiltgeom.fabric.photo.markers.marker_sheet import find_sheets, on_sheet, projected
from quiltgeom.fabric.photo.markers.sheet_tells import MARKER_SHEET
from quiltgeom.fabric.photo.prepare import AS_TAKEN, prepare
from quiltgeom.fabric.photo.prepared import Prepared
from quiltgeom.fabric.reading.palette import read_palette
from quiltgeom.render.png import png_bytes
from quiltgeom.tracing.marker_page import marker_page, sheet_place


def page_in_photo(thing: dict) -> np.ndarray:
    """From inches on the page to pixels, whose first one's middle is at 0.5."""
    w, h = thing["size_in"]
    inches = np.array([(0, h), (w, h), (w, 0), (0, 0)], np.float32)
    return cv2.getPerspectiveTransform(inches, np.array(thing["outline_px"], np.float32))


def with_sheet(photo: np.ndarray, thing: dict, cloth: np.ndarray, ppi: int = 160) -> Image.Image:
    """The photo, the page printed onto its plain sheet: multiplied in linear light."""
    page = marker_page(thing["name"].removeprefix("sheet-"))
    drawn = Image.open(io.BytesIO(png_bytes(page, ppi=ppi))).convert("RGB")
    middle = np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1]])
    # drawn larger, then reduced: what lies between two pixels counts
    placed = np.diag([3, 3, 1]) @ page_in_photo(thing) @ np.diag([1 / ppi, 1 / ppi, 1])
    lies = cv2.warpPerspective(
        linear_light(np.asarray(drawn)).astype(np.float32),
        middle @ placed @ np.linalg.inv(middle),
        (3 * photo.shape[1], 3 * photo.shape[0]),
        borderValue=(1, 1, 1),
    )
    lies = cv2.resize(lies, photo.shape[1::-1], interpolation=cv2.INTER_AREA)
    lies = np.where(cloth[..., None] > 0, 1.0, cv2.GaussianBlur(lies, (0, 0), 0.7))
    light = linear_to_srgb(linear_light(photo) * lies)
    return Image.fromarray(np.rint(255 * light).astype(np.uint8))


def markers_shown(thing: dict, cloth: np.ndarray) -> int:
    """How many markers, with a little white about them, are wholly in view."""
    h, w = cloth.shape
    shown = 0
    for half in (0, 1):
        corners = on_sheet((0, 1, 2, 3)) + np.array(
            sheet_place(thing["name"].removeprefix("sheet-"), half)
        )
        for marker in corners:
            grid = np.mgrid[-0.05:1.05:12j, -0.05:1.05:12j].reshape(2, -1).T
            at = projected(page_in_photo(thing), marker[0] + grid * (marker[2] - marker[0]))
            inside = ((at > 1) & (at < [w - 1, h - 1])).all()
            shown += bool(inside and not cloth[tuple(at.astype(int).T[::-1])].any())
    return shown


def on_table(truth: dict, pixels: np.ndarray) -> np.ndarray:
    """Inches on the table that are seen at some pixels."""
    camera = truth["camera"]
    k, r, c = (np.array(camera[name]) for name in ("K", "R", "C_in"))
    bent = (np.column_stack([pixels, np.ones(len(pixels))]) @ np.linalg.inv(k).T)[:, :2]
    flat = bent
    for _ in range(20):
        flat = bent / (1 + camera["k1"] * (flat**2).sum(axis=1, keepdims=True))
    rays = np.column_stack([flat, np.ones(len(flat))]) @ r
    return (c - rays * (c[2] / rays[:, 2:]))[:, :2]


def width_off(ready: Prepared, truth: dict) -> float | None:
    """By which part the width told by the sheet is wrong, for the cloth as it was outlined."""
    by_sheet = [s for s in ready.scales if s.by == MARKER_SHEET]
    if not by_sheet:
        return None
    w, h = truth["picture_px"]
    if ready.corners:
        a, b, c, d = on_table(truth, np.array(ready.corners))
        true = (np.linalg.norm(b - a) + np.linalg.norm(c - d)) / 2
    else:
        o, x, y = on_table(truth, np.array([(0, 0), (1, 0), (0, 1)]) + np.array([w / 2, h / 2]))
        true = w * np.sqrt(abs(np.linalg.det([x - o, y - o])))
    return float(by_sheet[0].width_in / ready.kept / true - 1)


def cloth_off(ready: Prepared, truth: dict) -> float | None:
    """By which part the cloth's own width is wrong: of the outline, the cloth's waves and the
    sheet; None where no cloth was outlined, or the sheet told no width."""
    by_sheet = [s for s in ready.scales if s.by == MARKER_SHEET]
    if not (by_sheet and ready.corners):
        return None
    return float(by_sheet[0].width_in / ready.kept / truth["cloth_in"][0] - 1)


def palette_off(ready: Prepared, flat: np.ndarray) -> float:
    """Mean CIEDE2000 from the flat print's colours to the nearest of the photo's."""
    palettes = [read_palette(even_light(rgb)) for rgb in (flat, ready.rgb)]
    one, other = (rgb_to_lab(np.stack([from_hex(c.hex) for c in p])) for p in palettes)
    share = np.array([c.share for c in palettes[0]])
    return float((delta_e_2000(one[:, None], other[None]).min(axis=1) * share).sum() / share.sum())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    for name in ("photos", "flat", "out"):
        parser.add_argument(name, type=Path)
    args = parser.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    rows = []
    for path in sorted(args.photos.glob("*.jpg")):
        truth = json.loads(path.with_suffix(".json").read_text())
        thing = next((o for o in truth["objects"] if o["name"].startswith("sheet-")), None)
        if thing is None:
            continue
        cloth = np.asarray(Image.open(path.with_suffix(".mask.png")))
        plain, out = np.asarray(load_image(path)), args.out / path.name
        with_sheet(plain, thing, cloth).save(out, quality=88)
        lens = image_info(path).lens_mm
        flat = np.asarray(load_image(next(args.flat.glob(f"{path.stem.split('_')[-1]}.*"))))
        ready = prepare(np.asarray(load_image(out)), AS_TAKEN, lens)
        shown, off = markers_shown(thing, cloth), width_off(ready, truth)
        palettes = palette_off(prepare(plain, AS_TAKEN, lens), flat), palette_off(ready, flat)
        balanced = any("marker sheet" in note and "balanced" in note for note in ready.notes)
        found = len(find_sheets(np.asarray(load_image(out)))) > 0
        whole = cloth_off(ready, truth)
        rows.append((shown, found, off, *palettes, balanced, whole))
        told = "no width" if off is None else f"width {off:+.1%} ({ready.scales[0].within:.1%})"
        print(f"{path.stem:36} {shown} shown, {told:22}", end="")
        print(" cloth ----- " if whole is None else f" cloth {whole:+6.1%}", end="")
        print(f" palette {palettes[0]:5.1f} -> {palettes[1]:4.1f}", "" if balanced else "as taken")
    shows = [r for r in rows if r[0] >= 2]
    told = np.array([abs(r[2]) for r in shows if r[2] is not None])
    print(f"{len(shows)} of {len(rows)} show two markers or more; of those:")
    print(f"sheet found in {sum(r[1] for r in shows)}, width told in {len(told)}")
    good = int((told < 0.03).sum())
    print(f"width off: median {np.median(told):.1%}, most {told.max():.1%}; within 3 % in {good}")
    cloth = np.array([abs(r[6]) for r in shows if r[6] is not None])
    good = int((cloth < 0.03).sum())
    print(f"cloth outlined and told in {len(cloth)}, its width within 3 % in {good}, ", end="")
    print(f"median {np.median(cloth):.1%}, most {cloth.max():.1%}")
    for name, how in (("mean", np.mean), ("median", np.median)):
        without, with_it = how([r[3:5] for r in shows], axis=0)
        print(f"palette, {name} CIEDE2000: {without:.1f} without the sheet, {with_it:.1f} with it")


if __name__ == "__main__":
    main()
