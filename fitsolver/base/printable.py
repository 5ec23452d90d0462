"""Texts from files, made fit to print."""

from __future__ import annotations


def printable(text: str) -> str:
    """Return a text from a file with dots for what cannot be printed (nor stand in XML)."""
    return "".join(sign if sign.isprintable() else "·" for sign in text)
