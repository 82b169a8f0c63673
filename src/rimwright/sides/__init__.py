"""Flat patterns of the sides: edges, blanks, marks, strips, book-match."""
