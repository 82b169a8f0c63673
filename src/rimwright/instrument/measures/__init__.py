"""An outline from measures: landmarks with the fair curve, or a list of tangent arcs."""
