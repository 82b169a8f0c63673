"""Pages and their server."""
