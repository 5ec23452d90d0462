"""`python -m fitsolver` is the command line."""

from __future__ import annotations

import gc

#: A run is short and makes few cycles: looking for them while modules are loaded and models
#: built would take a tenth of its time.
gc.set_threshold(100_000, 50, 50)

from fitsolver.cli import main  # noqa: E402 - after the threshold is set

if __name__ == "__main__":
    main()
