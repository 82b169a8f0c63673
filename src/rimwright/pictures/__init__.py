"""Scans and photographs: decoding within limits, and the lines drawn in them."""
