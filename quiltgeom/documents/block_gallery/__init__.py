"""Pages about blocks: the gallery, on screen and paper, and drawing sheets."""
