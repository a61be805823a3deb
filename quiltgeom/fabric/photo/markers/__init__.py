"""A printed sheet of markers in a photo: found, what it tells, painted over."""
