"""Our own swatches and example designs: the quilting room of a small harbour town."""
