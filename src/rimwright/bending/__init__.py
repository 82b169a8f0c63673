"""The bend: strain and thickness, the stack's warm-up, the recipe."""
