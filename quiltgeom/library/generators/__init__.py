"""Families of blocks drawn by a rule: a file says ``[make.log-cabin]`` and gives the numbers.

Each generator is a function named as in the file that reads the parameters and returns the drawing.
"""

from quiltgeom.errors import QuiltError
from quiltgeom.library.generators.circles import compass, fan, plate, ring_of_points
from quiltgeom.library.generators.overlapping_rings import wedding_ring
from quiltgeom.library.generators.sixty_degrees import sixty
from quiltgeom.library.generators.stars import diamond_star, feathered_star
from quiltgeom.library.generators.straight import log_cabin, pineapple, rings, stripes, tree, wedges
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params

_STARS_AND_CIRCLES = (compass, diamond_star, fan, feathered_star, plate, ring_of_points)
_OTHERS = (log_cabin, pineapple, rings, sixty, stripes, tree, wedding_ring, wedges)
GENERATORS = {g.__name__.replace("_", "-"): g for g in (*_STARS_AND_CIRCLES, *_OTHERS)}
"""All generators by the name that files use."""


def generate(name: str, params: Params) -> Drawing | None:
    """Draw with the generator ``name``; None, and a finding, if there is none of that name."""
    if name not in GENERATORS:
        params.report("a known generator", repr(name), ", ".join(sorted(GENERATORS)))
        return None
    drawing = None
    try:
        drawing = GENERATORS[name](params)
    except QuiltError as e:
        params.report("parameters that go together", str(e), "such as leave every patch an area")
    params.unknown()
    return drawing
