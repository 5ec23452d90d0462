"""Money as text."""

from __future__ import annotations


def amount(hundredths: int) -> str:
    """Return an amount with two decimals."""
    return f"{hundredths // 100}.{hundredths % 100:02d}"
