"""The program: the command line, started and left quickly."""

from __future__ import annotations

import gc
import os
import sys
from typing import NoReturn

#: A run is short and makes few cycles: looking for them while modules are loaded and models
#: built would take a tenth of its time.
_SELDOM = 100_000


def main() -> NoReturn:
    """Run the command line and leave with its exit code.

    Everything that was written is flushed; taking the loaded libraries down one by one, which
    would take longer than the whole job, is left to the system.
    """
    gc.set_threshold(_SELDOM)
    from fitsolver.cli import build_only
    from fitsolver.cli import main as run

    build_only(sys.argv[1:2])
    code: object = 0
    try:
        run()
    except SystemExit as left:
        code = left.code
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None:
                stream.flush()
        except OSError:  # the reader has gone: nothing more to say to it
            code = code or 0
    os._exit(code if isinstance(code, int) else int(bool(code)))


if __name__ == "__main__":
    main()
