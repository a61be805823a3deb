"""The order of sewing in words and pictures: sheets, steps, units drawn apart."""
