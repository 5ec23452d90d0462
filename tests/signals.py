"""Programs that tests start hear Ctrl-C, whatever the one who started the tests ignores."""

from __future__ import annotations

import signal
from typing import Final


def hear() -> None:
    """Give SIGINT its default handler back: a suite in the background was told to ignore it."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


#: For `subprocess.Popen(..., **HEARS)`: what runs in the new process before the program does.
HEARS: Final = {"preexec_fn": hear} if hasattr(signal, "SIGKILL") else {}
