"""Writers of a finished plan: DXF, SVG, PDF, mesh and labels. They decide nothing."""
