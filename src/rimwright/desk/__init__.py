"""One function for each thing a maker does; commands and pages share them."""
