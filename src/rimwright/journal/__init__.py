"""Records and their store: one writer, small batches, nothing lost that was acknowledged."""
