"""What is wrong with one field, before it is made an error."""

from __future__ import annotations

from dataclasses import dataclass

from gardenwater.errors import EditError


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong: the label of the field, what is wrong, what to do about it."""

    label: str
    what: str
    mend: str

    def error(self, owner: str) -> EditError:
        """The fault as an error about `owner`."""
        return EditError(self.what, where=f"{owner}, {self.label}", mend=self.mend)
