"""Pure geometry: outlines with true arcs, placements, the exact-cover audit."""
