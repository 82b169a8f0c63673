"""How often a test tries: the stated count in scripts/test, ten times it in scripts/soak."""

import os

#: Set by scripts/soak.
SOAK = bool(os.environ.get("RIMWRIGHT_SOAK"))


def times(count: int) -> int:
    """The count, or ten times it in a soak."""
    return 10 * count if SOAK else count
