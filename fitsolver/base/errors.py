"""What can go wrong, as types the front ends turn into one clear message."""

from __future__ import annotations


def visible(text: str, keep: str = "") -> str:
    """Return a text with every sign that does not print as its escape: a bell as \\u0007.

    Control codes, marks of writing direction, blanks without width, line breaks (but those in
    `keep`): a part number of a supplier must not move the cursor of who reads a message.
    """
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() or c in keep else _escape(c) for c in text)


def _escape(sign: str) -> str:
    """Return a sign as JSON escapes it, so that a document stays the same document."""
    units = sign.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{units[at : at + 2].hex()}" for at in range(0, len(units), 2))


def meant(word: str | None) -> str:
    """Return what a refusal adds where a word was probably meant; nothing where none was."""
    return f" (did you mean '{word}'?)" if word else ""


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
            visible(part)
            for part in (self.file, row, self.field and f"field '{self.field}'")
            if part
        )
        message = visible(self.message, "\n")
        text = f"{place}: {message}" if place else message
        if self.found is not None:
            text += f"; found: {visible(str(self.found))}"
        if self.allowed:
            text += f"; allowed: {visible(self.allowed)}"
        return text


class CheckError(FitsolverError):
    """The solver-free check disagrees with the solver: the plan is withheld."""
