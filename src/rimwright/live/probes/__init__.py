"""Where readings come from: one module for each way a probe is reached."""
