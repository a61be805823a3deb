"""Pattern and size to placed pieces. A layout places references to blocks, never copies shapes."""
