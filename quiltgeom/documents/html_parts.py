"""What every page that is written has in common: a policy by which it runs and loads only what is
inside it, and pictures inside it."""

import base64
import hashlib
import io
from typing import Any

from PIL import Image

from quiltgeom.render.png import draw_pixels
from quiltgeom.render.scene import Scene


def policy_meta(style: str, script: str = "", *, images: str = "data:") -> str:
    """The ``meta`` element that forbids a page all requests and all that is not its own.

    It stands before the page's style and script. Attributes with style or code in them do not
    work in such a page: a hash allows whole elements only.

    Args:
        style: text of the page's only ``style`` element.
        script: text of its only ``script`` element; "" if there is none.
        images: where its pictures may come from.

    >>> policy_meta("")[:85]
    '<meta http-equiv="Content-Security-Policy" content="default-src \\'none\\'; img-src data:'
    """
    rules = ["default-src 'none'", f"img-src {images}", f"style-src {_hash(style)}"]
    if script:
        rules.append(f"script-src {_hash(script)}")
    rules += ["base-uri 'none'", "form-action 'none'"]
    return f'<meta http-equiv="Content-Security-Policy" content="{"; ".join(rules)}">'


def _hash(text: str) -> str:
    digest = base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode()
    return f"'sha256-{digest}'"


def drawn(scene: Scene, ppi: float) -> Image.Image:
    """A scene as a picture of so many pixels per inch."""
    return Image.fromarray(draw_pixels(scene, ppi)[:, :, 2::-1].copy())


def jpeg_uri(image: Image.Image, **options: Any) -> str:
    """A picture as the address of an ``img`` element; JPEG, since cloth is a photograph.

    Args:
        options: ``quality`` and others of Pillow's JPEG.
    """
    packed = io.BytesIO()
    image.save(packed, "JPEG", **options)
    return "data:image/jpeg;base64," + base64.b64encode(packed.getvalue()).decode()
