"""An outline from a drawing, a trace or a scan, read in a guarded child process."""
