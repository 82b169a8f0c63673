"""Stacks of slats, wrap, blanket and wood, and the materials they are of."""
