"""From the bytes of a board to its lines, however they come."""

from __future__ import annotations

#: A board's line is some twenty characters; what is longer without an end is no line.
LONGEST_LINE = 512
_ENDS = (b"\r", b"\n")


class LineCutter:
    r"""Cuts what arrives into lines, keeps little, and never takes half a line for a whole one.

    What comes before the first end may have lost its beginning and is thrown away: half of
    "108.5" is a temperature too. Ends are CR, LF or both; empty lines are nothing.

    Examples
    --------
    >>> cutter = LineCutter()
    >>> cutter.feed(b"8.5\r\n109.0\r\n109."), cutter.feed(b"5\n")
    (['109.0'], ['109.5'])
    """

    def __init__(self) -> None:
        self._kept = b""
        #: Until the next end nothing is believed.
        self._torn = True
        #: Bytes since the last end, thrown away ones too.
        self.since_end = 0

    def feed(self, data: bytes) -> list[str | None]:
        """Whole lines; None stands for one that had no end within reason."""
        lines: list[str | None] = []
        for piece in data.replace(b"\r", b"\n").split(b"\n")[:-1]:
            line = self._kept + piece
            self._kept = b""
            if self._torn:
                self._torn = False
            elif len(line) > LONGEST_LINE:
                lines.append(None)
            elif line.strip():
                lines.append(line.decode("utf-8", "replace"))
        ended = data.endswith(_ENDS)
        tail = b"" if ended else data.replace(b"\r", b"\n").rpartition(b"\n")[2]
        self.since_end = len(tail) + (self.since_end if tail == data else 0)
        self._kept += b"" if self._torn else tail
        if len(self._kept) > LONGEST_LINE:
            self._kept, self._torn = b"", True
            lines.append(None)
        return lines

    def pause(self) -> list[str | None]:
        """What stands there once the board has paused, for boards that end no line."""
        line, torn = self._kept, self._torn
        self._kept, self._torn, self.since_end = b"", False, 0
        return [] if torn or not line.strip() else [line.decode("utf-8", "replace")]
