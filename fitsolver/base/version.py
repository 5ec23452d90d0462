"""The version of the program, as every answer carries it."""

from __future__ import annotations

from typing import Final

__version__: Final = "0.1.0"
