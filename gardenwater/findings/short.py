"""The shortest answer to each question: data here, its words in `wording.short_words`."""

from __future__ import annotations

from dataclasses import dataclass

from gardenwater.findings.model import Question, Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortAnswer:
    """The one line that stands under a question's word; text-free, so that every face says it in its own units.

    code: stable name of the answer, `question.what` (`reach.beds`); its wording is in `findings.wording`.
    numbers: name and value pairs, SI with the unit in the name. names: ids of the things that it names.
    severity: of the gravest finding that the words are about; None where nothing is wrong.
    needs: True when the question lacks something (`needs a tank`) and was not worked out.
    """

    question: Question
    code: str
    numbers: tuple[tuple[str, float], ...] = ()
    names: tuple[str, ...] = ()
    severity: Severity | None = None
    needs: bool = False

    def number(self, name: str) -> float:
        """The value of the number called `name`; KeyError where there is none."""
        return dict(self.numbers)[name]
