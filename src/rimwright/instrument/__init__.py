"""The design of one instrument: outline, plates, ends, bindings; its file and drawings."""
