"""Rimwright: the whole job of bending the sides of instruments, computed.

The story in one line: design file → outline → sides → bend check → tooling → recipe
→ *plan* → sheets and files. Each word is a room of this package; `rimwright.plan`
strings them together.
"""

__version__ = "0.1.0"
