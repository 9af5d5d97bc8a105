"""The error family: each error says what went wrong, where, and the mend.

Outcomes of a design (a bed out of reach, an overflow towards a house) are findings, never errors.
"""

from __future__ import annotations


class GardenwaterError(Exception):
    """Root of all errors that the program raises on purpose.

    what: one sentence, what was not taken and why.
    where: file, thing and field, or argument that it is about; may be empty.
    mend: one sentence, what to do about it; may be empty.
    """

    def __init__(self, what: str, *, where: str = "", mend: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.where = where
        self.mend = mend

    @property
    def head(self) -> str:
        """Where and what, without the mend; a field that the sentence begins with is named once."""
        owner, _, field = self.where.rpartition(", ")
        where = owner if field and self.what.startswith(field) else self.where
        return f"{where}: {self.what}" if where else self.what

    def __str__(self) -> str:
        return f"{self.head} {self.mend}".rstrip()


class InputError(GardenwaterError, ValueError):
    """An argument or a value cannot be taken."""


class EditError(GardenwaterError, ValueError):
    """An edit cannot be made; the site is as it was."""


class FileError(GardenwaterError):
    """A file cannot be read or written; what was on disk is as it was."""


class Cancelled(GardenwaterError):  # noqa: N818 - it is no error, somebody asked for it
    """The work was cancelled by whoever asked for it."""

    def __init__(self, what: str = "Cancelled.") -> None:
        super().__init__(what)
