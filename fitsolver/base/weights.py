"""Weights that hardly ever come to one sum, to choose among equally good solutions."""

from __future__ import annotations

from hashlib import sha256


def weight(words: str, bits: int) -> int:
    """Return a weight below 2 to the power of `bits` (32 at most) that the words alone tell."""
    return int.from_bytes(sha256(words.encode()).digest()[:4], "big") >> (32 - bits)
