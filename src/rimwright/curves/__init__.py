"""Plane curves: arcs, clothoids, splines and their parallels, read by arc length."""
