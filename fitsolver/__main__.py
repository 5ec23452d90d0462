"""The program: the command line, started and left quickly."""

from __future__ import annotations

import gc
import os
import signal
import sys
from typing import NoReturn

#: A run is short and makes few cycles: looking for them while modules are loaded and models
#: built would take a tenth of its time.
_SELDOM = 100_000
#: Matrices here have some fifty rows: sharing one out among threads takes longer than the sum.
_ONE_THREAD = "OPENBLAS_NUM_THREADS", "1"


def main() -> NoReturn:
    """Run the command line and leave with its exit code.

    Everything that was written is flushed; taking the loaded libraries down one by one, which
    would take longer than the whole job, is left to the system.
    """
    hears = signal.getsignal(signal.SIGINT) is signal.default_int_handler
    if hears:
        signal.signal(signal.SIGINT, _leave)
    gc.set_threshold(_SELDOM)
    os.environ.setdefault(*_ONE_THREAD)
    try:
        code = _ran(hears)
    except KeyboardInterrupt:
        _leave()
    os._exit(_flushed(code if isinstance(code, int) else int(bool(code))))


def _ran(hears: bool) -> object:
    """Run the command line; return what it leaves with. Ctrl-C `hears` only while it runs."""
    from fitsolver.cli.app import build_only
    from fitsolver.cli.app import main as run

    build_only(sys.argv[1:2])
    code: object = 0
    try:
        if hears:
            signal.signal(signal.SIGINT, signal.default_int_handler)
        run()
    except SystemExit as left:
        code = left.code
    if hears:  # the answer is told: Ctrl-C while the program leaves changes nothing
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    return code


def _leave(*_: object) -> NoReturn:
    """Leave on Ctrl-C while modules are loaded: inside one it could end as any other error."""
    from fitsolver.base.exit_codes import INTERRUPTED

    os.write(2, b"fitsolver: interrupted; nothing was written\n")
    os._exit(INTERRUPTED)


def _flushed(code: int) -> int:
    """Write out what is waiting; return the exit code, which tells where that cannot be done."""
    from fitsolver.base.exit_codes import BAD_INPUT

    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None:
                stream.flush()
        except BrokenPipeError:  # the reader has gone: nothing more to say to it
            pass
        except OSError as error:
            if code == 0:
                from fitsolver.cli.output import say, unwritten

                say(f"fitsolver: {unwritten(error)}", error=True)
                code = BAD_INPUT
    return code


if __name__ == "__main__":
    main()
