"""One tree of errors, each a single line a maker can act on.

::

    RimwrightError
    ├── UnitError            a quantity that cannot be read (also a ValueError)
    ├── DesignError          the design file or the shop file
    ├── DrawingError         a DXF or SVG, or the outline in it
    ├── PictureError         a scan or a photograph
    ├── GeometryError        a shape that cannot be
    │   └── FoldedOffsetError    an offset past the smallest radius it allows
    ├── OutsideValidityError a relation asked outside its published range (also a ValueError)
    ├── UnknownNameError     a wood, slat or source that is not on the list (also a LookupError)
    ├── OutputError          a file or folder that cannot be written
    ├── ProbeError           a probe's settings, or a source that cannot be
    ├── RunError             a command that a run cannot take now
    ├── JournalError         the store of records, or a record that is not there
    └── AccessError          a device that may not do that

Every message says what was found, what was expected and what to do next.
"""

from __future__ import annotations


class RimwrightError(Exception):
    """Base of everything Rimwright refuses.

    Parameters
    ----------
    found : str
        What was there, in the maker's words.
    expected : str
        What would have been accepted.
    next_step : str
        What to do now.
    where : str, default ""
        File, line and key, or the part of the job; put in front of the line.

    Examples
    --------
    >>> print(RimwrightError("no wood named 'oka'", "one of the list", "run `rimwright woods`"))
    found no wood named 'oka'; expected one of the list; next: run `rimwright woods`
    """

    def __init__(self, found: str, expected: str, next_step: str, *, where: str = "") -> None:
        self.found = found
        self.expected = expected
        self.next_step = next_step
        self.where = where
        super().__init__(found, expected, next_step, where)

    def __str__(self) -> str:
        line = f"found {self.found}; expected {self.expected}; next: {self.next_step}"
        line = f"{self.where}: {line}" if self.where else line
        return " ".join(line.split())

    def __reduce__(self) -> tuple[object, ...]:
        # Errors cross from the reading child process to its parent, so they must pickle.
        return _rebuild, (type(self), self.found, self.expected, self.next_step, self.where)


def _rebuild(
    kind: type[RimwrightError], found: str, expected: str, next_step: str, where: str
) -> RimwrightError:
    return kind(found, expected, next_step, where=where)


class UnitError(RimwrightError, ValueError):
    """A quantity that cannot be read, or has the wrong kind of unit."""


class DesignError(RimwrightError):
    """The design file or the shop file says something it cannot."""


class DrawingError(RimwrightError):
    """A drawing cannot be read, or holds no outline that can be used."""


class PictureError(RimwrightError):
    """A scan or photograph cannot be used."""


class GeometryError(RimwrightError):
    """A shape that cannot be."""


class FoldedOffsetError(GeometryError):
    """An offset that would fold over on a bend tighter than it allows."""


class OutsideValidityError(RimwrightError, ValueError):
    """A relation was asked outside the range its source gives."""


class UnknownNameError(RimwrightError, LookupError):
    """A name that is not on the list it should come from."""


class OutputError(RimwrightError):
    """A file or folder cannot be written."""


class ProbeError(RimwrightError):
    """A probe's settings say something they cannot."""


class RunError(RimwrightError):
    """A run cannot take this command now; nothing was changed."""


class JournalError(RimwrightError):
    """The journal cannot be opened or written, or the record is not there."""


class AccessError(RimwrightError):
    """This device may not do that here."""
