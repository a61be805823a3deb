"""True-size paper templates: one per shape, trimmed to the order of sewing, packed on pages."""
