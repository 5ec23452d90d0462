"""Plain bars for a terminal: how much of a whole is left, in blocks or in ASCII."""

from __future__ import annotations

from typing import Final

#: Signs of the part left and the part gone: blocks, and their ASCII substitutes.
_BLOCKS: Final = ("\u2588", "\u2591")
_ASCII: Final = ("#", ".")


def bar(left: int, whole: int, width: int = 20, encoding: str = "utf-8") -> str:
    """Return a bar of `width` signs for what is `left` of a `whole` (both in the same unit).

    Only nothing left is an empty bar, and only the whole is a full one: any part left shows at
    least one sign, any part gone lacks at least one. In an `encoding` without blocks it is ASCII.
    """
    full, gone = _BLOCKS if _can_show(encoding) else _ASCII
    part = min(max(left, 0), max(whole, 0))
    signs = 0 if whole <= 0 else (part * width + whole // 2) // whole
    if 0 < part < whole and width > 1:
        signs = min(max(signs, 1), width - 1)
    return full * signs + gone * (width - signs)


def bar_width(columns: int, beside: int, most: int = 20, least: int = 5) -> int:
    """Return how wide a bar may be in a terminal of `columns` characters with a text of `beside`
    signs on its line; 0 where there is no room for one."""
    room = min(most, columns - beside - 1)
    return room if room >= least else 0


def _can_show(encoding: str) -> bool:
    try:
        "".join(_BLOCKS).encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return False
    return True
