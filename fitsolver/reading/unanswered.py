"""A refusal that an answer takes away: it can be asked for where somebody is there to answer."""

from __future__ import annotations

from typing import Any

from fitsolver.base.errors import InputError


class UnansweredError(InputError):
    """An open question of a new job: the field for its answer, and the question.

    `asked` are the words that each want an answer of their own, where the field is `words`;
    `proposed` has an answer by word ("" where there is one question), where one is likely. The
    message says with which option the answer is given.
    """

    def __init__(
        self,
        message: str,
        *,
        answers: str,
        question: str,
        asked: tuple[str, ...] = ("",),
        proposed: dict[str, str] | None = None,
        **where: Any,
    ) -> None:
        self.answers, self.question, self.asked = answers, question, asked
        self.proposed = proposed or {}
        super().__init__(message, **where)
