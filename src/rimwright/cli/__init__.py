"""The commands: they ask, show, and turn errors into one clear line."""
