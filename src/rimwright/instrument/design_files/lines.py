"""On which line of a TOML text each key stands, for messages.

The text has been read by `tomllib` before, so that this walk may trust its grammar. It is
taken only when there is something to complain of.
"""

from __future__ import annotations

import re
from bisect import bisect_right

#: From the root to a key: names of tables and keys, numbers within lists.
KeyPath = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_BASIC = re.compile(r'"(?:[^"\\\n]|\\.)*"')
_LITERAL = re.compile(r"'[^'\n]*'")
_LONG_BASIC = re.compile(r'"""(?:[^"\\]|\\(?:.|\n)|"{1,2}(?!"))*"{3,5}', re.DOTALL)
_LONG_LITERAL = re.compile(r"'''.*?'{3,5}", re.DOTALL)
_SCALAR = re.compile(r"[^,\]}\n#]*")


def line_numbers(text: str) -> dict[KeyPath, int]:
    """The line of every table, key and list entry.

    Examples
    --------
    >>> lines = line_numbers('[plates]\\n# at the edge\\ndepth_tail = "100 mm"\\n')
    >>> lines["plates",], lines["plates", "depth_tail"]
    (1, 3)
    """
    return _Walk(text).run()


class _Walk:
    """One walk over the text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[KeyPath, int] = {}
        self.counts: dict[KeyPath, int] = {}
        self.breaks = [m.start() for m in re.finditer("\n", text)]

    def run(self) -> dict[KeyPath, int]:
        table: KeyPath = ()
        self.skip(_BLANK)
        while self.at < len(self.text):
            if self.text.startswith("[[", self.at):
                self.at += 2
                line, names = self.line(), self.key()
                head = self.inside(names[:-1]) + names[-1:]
                number = self.counts.get(head, -1) + 1
                self.counts[head] = number
                table = (*head, number)
                self.note(head, line)
                self.note(table, line)
                self.at += 2
            elif self.text[self.at] == "[":
                self.at += 1
                line, names = self.line(), self.key()
                table = self.inside(names)
                self.note(table, line)
                self.at += 1
            else:
                self.pair(table)
            self.skip(_BLANK)
        return self.lines

    def pair(self, table: KeyPath) -> None:
        """One ``key = value``."""
        line = self.line()
        path = table + self.key()
        self.skip(_SPACE)
        self.at += 1  # the equals sign
        self.note(path, line)
        self.value(path)

    def key(self) -> KeyPath:
        """A key with its dots."""
        names: list[str] = []
        while True:
            self.skip(_SPACE)
            for pattern in (_BARE, _BASIC, _LITERAL):
                if match := pattern.match(self.text, self.at):
                    raw = match.group()
                    names.append(_unquoted(raw))
                    self.at = match.end()
                    break
            self.skip(_SPACE)
            if not self.text.startswith(".", self.at):
                return tuple(names)
            self.at += 1

    def value(self, path: KeyPath) -> None:
        self.skip(_SPACE)
        opening = self.text[self.at]
        if opening == "[":
            self.at += 1
            number = 0
            while self.more("]"):
                self.lines[*path, number] = self.line()
                self.value((*path, number))
                number += 1
        elif opening == "{":
            self.at += 1
            while self.more("}"):
                self.pair(path)
        else:
            for pattern in (_LONG_BASIC, _LONG_LITERAL, _BASIC, _LITERAL, _SCALAR):
                if match := pattern.match(self.text, self.at):
                    self.at = match.end()
                    return

    def more(self, closing: str) -> bool:
        """Whether another entry follows; passes commas and the closing bracket."""
        self.skip(_BLANK)
        if self.text[self.at] == ",":
            self.at += 1
            self.skip(_BLANK)
        if self.text[self.at] == closing:
            self.at += 1
            return False
        return True

    def inside(self, names: KeyPath) -> KeyPath:
        """Names with the number of the newest entry put in where they pass through a list."""
        path: KeyPath = ()
        for name in names:
            path = (*path, name)
            if path in self.counts:
                path = (*path, self.counts[path])
        return path

    def note(self, path: KeyPath, line: int) -> None:
        for end in range(1, len(path) + 1):
            self.lines.setdefault(path[:end], line)

    def line(self) -> int:
        return bisect_right(self.breaks, self.at - 1) + 1

    def skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        self.at = match.end() if match else self.at


def _unquoted(raw: str) -> str:
    if raw[0] == '"':
        import tomllib

        return str(tomllib.loads(f"v = {raw}")["v"])
    return raw[1:-1] if raw[0] == "'" else raw
