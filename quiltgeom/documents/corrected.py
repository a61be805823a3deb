"""A photo as it was straightened and balanced, as a picture of its own."""

import io
from pathlib import Path

from PIL import Image

from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.reading.prepare import AS_TAKEN, Calibration, prepare_file
from quiltgeom.files import write_whole
from quiltgeom.outputs.stamps import stamped


def write_corrected(
    path: str | Path, output: str | Path, width_in: float, known: Calibration = AS_TAKEN
) -> Path:
    """Write the prepared photo as a picture of its own, its density stated, for previews and
    advice.

    Args:
        path: the photo.
        output: .png, .jpg or .jpeg; not the photo itself.
        width_in: real width of the prepared picture, inches, as read.

    Raises:
        QuiltValueError: another ending, or the photo itself.
        QuiltFileError: as of
            :func:`~quiltgeom.fabric.reading.prepare.prepare_file`, or it cannot be written.
    """
    output = Path(output)
    kind = {".png": "PNG", ".jpg": "JPEG", ".jpeg": "JPEG"}.get(output.suffix.lower())
    if kind is None:
        raise QuiltValueError(f"corrected picture: found {output.name}; accepted: .png, .jpg")
    if output.resolve() == Path(path).resolve():
        raise QuiltValueError("corrected picture: found the photo itself; accepted: another name")
    rgb = prepare_file(path, known).rgb
    density = rgb.shape[1] / width_in
    out = io.BytesIO()
    Image.fromarray(rgb).save(out, kind, quality=93, dpi=(density, density))
    return write_whole(output, stamped(out.getvalue(), output.suffix, cloth=True))
