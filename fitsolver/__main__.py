"""`python -m fitsolver` is the command line."""

from __future__ import annotations

from fitsolver.cli import main

if __name__ == "__main__":
    main()
