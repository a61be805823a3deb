"""``python -m quiltgeom``."""

from quiltgeom.cli import main

main()
