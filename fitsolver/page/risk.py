"""The risk of passing the highest size that the page states at the hone."""

from __future__ import annotations

from typing import Final

#: For all passes of a bore together; the default of the command.
RISK: Final = 0.05
