"""From a photo to kits in a pattern of one's own: python docs/photo_to_kit.py PHOTO OUT.

The pattern is made in Python, then written as a file and used from there; both kits are opened
again from a folder that has nothing else in it.
"""

import shutil
import sys
from pathlib import Path

import quiltgeom as qg


def net_loft() -> qg.Pattern:
    """Gables of net lofts along a lane, the print in their walls."""
    gable = qg.make_block(
        "Net Loft",
        grid=2,
        patch=[
            {"role": "accent", "at": [[0, 1], [1, 0], [2, 1]]},
            {"role": "background", "at": [[0, 0], [1, 0], [0, 1]]},
            {"role": "background", "at": [[1, 0], [2, 0], [2, 1]]},
            {"role": "focus", "at": [[0, 1], [2, 1], [2, 2], [0, 2]]},
        ],
    )
    return qg.make_pattern(
        "Net Loft Lane",
        [gable],
        block="12 in",
        rows=3,
        columns=3,
        cells=["A"],
        tiles={"A": {"use": "net-loft"}},
        roles={"focus": {"main": True}, "background": {}, "accent": {}},
        border=[{"role": "accent", "width": "1/4"}],
    )


def main(photo: Path, out: Path) -> None:
    """Read, match, look, cut, and hand over."""
    swatch = qg.read(photo, width=12)
    own = net_loft()
    found = qg.match(swatch, patterns=[own, qg.load_patterns().get("harbour-windows")])
    print(swatch, found, sep="\n\n")
    cloths = {"focus": swatch, "background": "#f3ead8", "accent": "#45586a"}
    file = qg.write_pattern(own, out / "patterns")
    for name, design in (("python", own), ("file", file)):
        qg.preview(design, cloths).save(out / f"{name}.png", px=900)
        plan = qg.cut(design, cloths, have={"focus": (45, 40)})
        plan.save(out / f"{name}-cutting.pdf")
        kit = qg.kit(design, cloths, have={"focus": (45, 40)})
        kit.save_folder(out / f"{name}-kit")
        sent = shutil.copytree(out / f"{name}-kit", out / "sent" / name)
        again = qg.lay_out(sent / "design.toml")
        print(f"{name}: {again!r}, cuts from the cloth at hand: {plan.plan.fits}")


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
