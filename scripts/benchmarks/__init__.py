"""The project's benchmarks, run by `scripts/bench`."""
