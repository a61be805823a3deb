"""The usual cautions, the same on every page that a maker is given."""

from quiltgeom.cutting.listing import CAUTION

CARE = (
    CAUTION,
    "The iron is hot and its steam burns: keep it and its cord out of reach of children, try the "
    "heat on a scrap, set it on its heel, switch it off when you leave the room.",
    "Needles and pins: count them back into their tin, away from children and pets; a broken "
    "needle goes into a closed jar. Never sew over pins.",
    "A quilt for a baby: loose covers do not belong in the cot of an infant under a year. Follow "
    "the safe-sleep guidance of your health service; give it as a mat for play under watch or to "
    "hang on the wall.",
    "The makers' instructions for your tools and the rules of your room come first.",
)
"""Usual cautions (common practice; safe-sleep guidance of public health services)."""
