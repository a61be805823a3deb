"""Whether what is cut sews together: every seam from the cut sizes as printed."""
