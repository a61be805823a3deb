"""Speed of the picture, measured side by side in one run. Read the ratios, not the times.

    python -m tests.benchmarks.bench_render            # everything, about four minutes
    python -m tests.benchmarks.bench_render --quick    # 1500 pixels only

Six fabrics with 2400-pixel JPEG swatches; quilts of about 200 to 20000 patches. The others draw the
same scene: CairoSVG from our SVG with swatches already reduced (PNG, its fastest input), and a
matplotlib script with one clipped picture per patch.
"""

from __future__ import annotations

import argparse
import io
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
from PIL import Image

from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.quilt import Quilt
from quiltgeom.render.encode import pack_rows, png_of_bands
from quiltgeom.render.mockup import mockup
from quiltgeom.render.png import OVERSAMPLE, draw_pixels, png_bytes
from quiltgeom.render.scene import ClothPaint, Fill, Scene, flat_items, scene_tiles
from quiltgeom.render.svg import svg_text

SIDE = 2400
REPEATS = 5


def swatch_files(folder: Path) -> list[Path]:
    """Six swatches with fine and coarse pattern, weave and noise."""
    y, x = np.mgrid[:SIDE, :SIDE] / 200.0
    rng = np.random.default_rng(5)
    fields = [
        np.sign(np.sin(9 * x)) * np.sign(np.sin(9 * y)),
        np.sin(60 * x),
        np.sin(4 * x + 4 * y),
        np.sin(7 * x) * np.sin(7 * y) > 0.8,
        0.1 * np.sin(3 * x),
        np.sin(2 * x * y / 6),
    ]
    paths = []
    for k, field in enumerate(fields):
        base = np.array(
            [
                [60, 90, 120],
                [200, 80, 60],
                [90, 140, 90],
                [230, 200, 90],
                [240, 230, 210],
                [120, 70, 130],
            ][k]
        )
        noise = rng.normal(0, 6, (SIDE, SIDE, 1))
        picture = base + 40 * np.asarray(field, dtype=float)[..., None] + noise
        path = folder / f"swatch-{k}.jpg"
        Image.fromarray(np.clip(picture, 0, 255).astype(np.uint8)).save(path, quality=90)
        paths.append(path)
    return paths


def quilt_of(patches: int) -> Quilt:
    """About this many patches: stars on point between plain squares, sized to the count."""
    pattern = load_patterns().get("gull-cove")
    side = max(2, round((patches / 22) ** 0.5))
    return lay_out(pattern, rows=side, columns=side, block_size=60 / side / 1.5)


def scene_of(quilt: Quilt, files: list[Path]) -> Scene:
    """Six fabrics: each role's pieces are dealt out to two of them."""
    scenes = [
        mockup(
            quilt,
            {r: Fabric(r, image=files[2 * k + half], width=12) for k, r in enumerate(quilt.roles)},
            seed=half,
        ).scene
        for half in (0, 1)
    ]
    items = [scenes[i % 2].layers[0].items[i] for i in range(len(quilt))]
    layer = scenes[0].layers[0]
    return Scene(quilt.width, quilt.height, (type(layer)(tuple(items), "cover", layer.frame),))


def grouped(scene: Scene) -> Scene:
    """The easiest case for an SVG renderer: all pieces of a fabric show one stretch of cloth."""
    items = []
    for item in flat_items(scene.layers):
        if isinstance(item, Fill) and isinstance(item.paint, ClothPaint):
            paint = replace(item.paint, matrix=(*item.paint.matrix[:4], 0.0, 0.0))
            items.append(Fill(item.path, paint))
    return replace(scene, layers=(replace(scene.layers[0], items=tuple(items)),))


def clear() -> None:
    from quiltgeom.fabric import cloth

    cloth._swatch.cache_clear()
    cloth._tile.cache_clear()


def best(work: Callable[[], object], repeats: int = REPEATS) -> float:
    """Least wall time of some runs, milliseconds: others may use the machine, too."""
    return cost(work, repeats)[0]


def cost(work: Callable[[], object], repeats: int = REPEATS) -> tuple[float, float]:
    """Least wall and processor time of some runs, milliseconds."""
    walls, cpus = [], []
    for _ in range(repeats):
        wall, cpu = time.perf_counter(), time.process_time()
        work()
        cpus.append(1000 * (time.process_time() - cpu))
        walls.append(1000 * (time.perf_counter() - wall))
    return min(walls), min(cpus)


def cold(work: Callable[[], object]) -> Callable[[], object]:
    def run() -> object:
        clear()
        return work()

    return run


def with_matplotlib(scene: Scene, px: int) -> Callable[[], object]:
    """A plain script: one picture per patch, clipped to it (grouped by nothing)."""
    import matplotlib as mpl

    mpl.use("Agg")
    import matplotlib.pyplot as plt
    from matplotlib.patches import Polygon
    from matplotlib.transforms import Affine2D

    def run() -> object:
        scale = px / max(scene.width, scene.height)
        figure = plt.figure(figsize=(scene.width, scene.height), dpi=scale)
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set_xlim(0, scene.width)
        axes.set_ylim(scene.height, 0)
        axes.axis("off")
        pictures: dict[object, np.ndarray] = {}
        for item in flat_items(scene.layers):
            if not isinstance(item, Fill) or not isinstance(item.paint, ClothPaint):
                continue
            cloth = item.paint.cloth
            if cloth.path not in pictures:
                image = Image.open(cloth.path)
                side = max(64, round(cloth.width * scale * 2))
                pictures[cloth.path] = np.asarray(image.resize((side, side), Image.Resampling.BOX))
            corners = [v[-2:] for op, v in item.path.segments if op in "ML"]
            a, b, c, d, e, f = item.paint.matrix
            move = Affine2D(np.array([[a, c, e], [b, d, f], [0, 0, 1]]))
            w, h = cloth.tile_size
            shown = axes.imshow(
                pictures[cloth.path],
                extent=(0, w, h, 0),
                aspect="auto",
                transform=move + axes.transData,
                interpolation="bilinear",
            )
            shown.set_clip_path(Polygon(corners, transform=axes.transData))
        axes.set_xlim(0, scene.width)
        axes.set_ylim(scene.height, 0)
        out = io.BytesIO()
        figure.savefig(out, dpi=scale)
        plt.close(figure)
        return out.getvalue()

    return run


def compare(files: list[Path], px: int) -> None:
    """From JPEG files to PNG bytes, against the others; and the stages by themselves."""
    import cairosvg

    quilt = quilt_of(1000)
    scene = scene_of(quilt, files)
    ppi = px / max(scene.width, scene.height)

    def cairo_svg(shown: Scene) -> Callable[[], object]:
        svg = drawn_once(svg_text(shown, cloth_ppi=50.0, lossless=True)).encode()
        return lambda: cairosvg.svg2png(bytestring=svg, output_width=px)

    ours = cost(cold(lambda: png_bytes(scene, px=px)))
    rivals = {
        "CairoSVG": cost(cairo_svg(scene), 1),
        "CairoSVG, easy case": cost(cairo_svg(grouped(scene)), 3),
        "matplotlib": cost(with_matplotlib(scene, px), 1),
    }
    print(f"\n{len(quilt)} patches, {px} px            wall ms    cpu ms   ours/it wall   cpu")
    print(f"  JPEG files to PNG      {ours[0]:10.0f}{ours[1]:10.0f}")
    for name, took in rivals.items():
        print(
            f"  {name:<22} {took[0]:10.0f}{took[1]:10.0f}{ours[0] / took[0]:12.4f}"
            f"{ours[1] / took[1]:9.4f}"
        )
    pixels = draw_pixels(scene, ppi)
    stages = {
        "decode and reduce": cost(cold(lambda: scene_tiles(scene, ppi * OVERSAMPLE))),
        "draw": cost(lambda: draw_pixels(scene, ppi)),
        "encode, one thread": cost(
            lambda: png_of_bands([pack_rows(pixels, last=True)], pixels.shape[1], ppi)
        ),
    }
    for name, took in stages.items():
        print(f"  {name:<22} {took[0]:10.0f}{took[1]:10.0f}")
    print(f"  drawing / encoding, cpu {stages['draw'][1] / stages['encode, one thread'][1]:9.2f}")


def drawn_once(svg: str) -> str:
    """Our SVG without the crisp copies below the cover: less work for its renderer."""
    return re.sub(r'<use[^>]*shape-rendering="crispEdges"[^>]*/>', "", svg)


def scaling(files: list[Path], sizes: list[int]) -> None:
    """Drawing alone, warm, by patches and by pixels."""
    print("\npatches   layout ms   " + "   ".join(f"draw {px} px ms" for px in sizes))
    for patches in (200, 1000, 5000, 20000):
        quilt = quilt_of(patches)
        lay = best(lambda p=patches: quilt_of(p))  # type: ignore[misc]
        scene = scene_of(quilt, files)
        longer = max(scene.width, scene.height)
        draws = [best(lambda s=scene, k=px / longer: draw_pixels(s, k), 3) for px in sizes]  # type: ignore[misc]
        print(f"{len(quilt):7d}   {lay:9.1f}   " + "   ".join(f"{d:15.0f}" for d in draws))


def memory(files: list[Path], px: int) -> None:
    """Peak memory of a fresh process that draws, beyond one that only imports."""
    peaks = []
    for draw in (False, True):
        code = (
            "from pathlib import Path\n"
            "from tests.benchmarks.bench_render import *\n"
            f"scene = scene_of(quilt_of(1000), [Path(p) for p in {[str(f) for f in files]!r}])\n"
            + (f"png_bytes(scene, px={px})\n" if draw else "")
            + "print(open('/proc/self/status').read().split('VmHWM:')[1].split()[0])"
        )
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True
        )
        peaks.append(int(done.stdout) / 1024)
    print(f"peak memory of drawing at {px} px: {peaks[1] - peaks[0]:.0f} MiB beyond {peaks[0]:.0f}")


def imports() -> None:
    """Time of ``import quiltgeom`` beyond a bare interpreter."""

    def spawn(code: str) -> float:
        return best(lambda: subprocess.run([sys.executable, "-c", code], check=True), 7)

    bare, ours = spawn("pass"), spawn("import quiltgeom")
    print(f"\nimport quiltgeom: {ours - bare:.0f} ms beyond an interpreter's {bare:.0f} ms")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true")
    sizes = [1500] if parser.parse_args().quick else [1500, 3000]
    with tempfile.TemporaryDirectory() as folder:
        files = swatch_files(Path(folder))
        imports()
        for px in sizes:
            compare(files, px)
        scaling(files, sizes)
        for px in sizes:
            memory(files, px)


if __name__ == "__main__":
    main()
