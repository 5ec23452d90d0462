"""What can go wrong, as types the front ends turn into one clear message."""

from __future__ import annotations


class FitsolverError(Exception):
    """Base of every error this package raises on purpose."""


class InputError(FitsolverError):
    """Bad input: one message with file, row and field, what was found and what is allowed."""

    def __init__(
        self,
        message: str,
        *,
        file: str = "",
        row: int | str | None = None,
        field: str = "",
        found: object = None,
        allowed: str = "",
    ) -> None:
        self.message, self.file, self.row = message, file, row
        self.field, self.found, self.allowed = field, found, allowed
        super().__init__(str(self))

    def __str__(self) -> str:
        row = f"row {self.row}" if isinstance(self.row, int) else self.row
        place = ", ".join(
            part for part in (self.file, row, self.field and f"field '{self.field}'") if part
        )
        text = f"{place}: {self.message}" if place else self.message
        if self.found is not None:
            text += f"; found: {self.found}"
        if self.allowed:
            text += f"; allowed: {self.allowed}"
        return text


class CheckError(FitsolverError):
    """The solver-free check disagrees with the solver: the plan is withheld."""
