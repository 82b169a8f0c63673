"""The design file and the shop file: read, checked, made into a design, written, changed."""
