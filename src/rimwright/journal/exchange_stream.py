"""JSON read bit by bit: a list of a million rows is never held at once."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any, NoReturn, TextIO

from rimwright.errors import JournalError

#: Largest single value; a plan takes half a megabyte. [characters]
LONGEST_VALUE = 32_000_000
_PIECE = 1 << 16
_SPACE = " \t\n\r"


class JsonStream:
    """The members of one object in a file, in their order.

    Parameters
    ----------
    file : text file
        Open; read from where it stands.
    where : str
        Its name, for the message.

    Examples
    --------
    >>> import io
    >>> stream = JsonStream(io.StringIO('{"run": {"hand": "bass"}, "samples": [[1, 0], [2, 100]]}'))
    >>> for name in stream.members():
    ...     print(name, list(stream.elements()) if name == "samples" else stream.value())
    run {'hand': 'bass'}
    samples [[1, 0], [2, 100]]
    """

    def __init__(self, file: TextIO, where: str = "") -> None:
        self._file = file
        self._where = where
        self._text = ""
        self._at = 0
        self._ended = False
        self._decoder = json.JSONDecoder(parse_constant=self._no_constant)

    def members(self) -> Iterator[str]:
        """Names of the members; the caller takes each one's `value` or `elements` in between.

        Raises
        ------
        JournalError
            If it is no JSON object.
        """
        self._sign("{")
        if self._next() == "}":
            self._at += 1
        else:
            while True:
                name = self.value()
                if not isinstance(name, str):
                    self._refuse("a name that is no text")
                self._sign(":")
                yield name
                if self._sign(",}") == "}":
                    break
        if self._next():
            self._refuse("something behind the end")

    def elements(self) -> Iterator[Any]:
        """The elements of the list that stands here.

        Raises
        ------
        JournalError
            If no list stands here.
        """
        self._sign("[")
        if self._next() == "]":
            self._at += 1
            return
        while True:
            yield self.value()
            if self._sign(",]") == "]":
                return

    def value(self) -> Any:
        """The value that stands here, whole.

        Raises
        ------
        JournalError
            If there is none, or it is longer than any of ours.
        """
        self._next()
        size = _PIECE
        while True:
            try:
                value, end = self._decoder.raw_decode(self._text, self._at)
                # A number at the end of what was read may go on.
                if end < len(self._text) or self._ended:
                    self._at = end
                    return value
            except json.JSONDecodeError:
                if self._ended:
                    self._refuse("text that is no JSON")
            except RecursionError:
                self._refuse("values nested too deeply")
            if len(self._text) - self._at > LONGEST_VALUE:
                self._refuse("no end of a value")
            self._more(size)
            size *= 2

    def _next(self) -> str:
        """The next sign that is no space, left where it is; "" at the end."""
        while True:
            while self._at < len(self._text):
                if self._text[self._at] not in _SPACE:
                    return self._text[self._at]
                self._at += 1
            if self._ended:
                return ""
            self._more(_PIECE)

    def _sign(self, allowed: str) -> str:
        sign = self._next()
        if not sign or sign not in allowed:
            self._refuse(f"{sign!r} where {' or '.join(allowed)} belongs")
        self._at += 1
        return sign

    def _more(self, size: int) -> None:
        piece = self._file.read(size)
        self._ended = not piece
        self._text = self._text[self._at :] + piece
        self._at = 0

    def _no_constant(self, name: str) -> NoReturn:
        self._refuse(f"{name}, which is no plain value")

    def _refuse(self, found: str) -> NoReturn:
        raise JournalError(found, "JSON as it was exported", "export again", where=self._where)
