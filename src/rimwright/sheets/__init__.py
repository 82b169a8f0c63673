"""Writers of a finished plan: DXF, SVG, PDF, mesh, labels, JSON."""
