"""A photo of cloth on a table to the cloth alone: found, straightened, its scale known."""
