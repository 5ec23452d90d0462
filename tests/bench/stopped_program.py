"""`allot` of a shop that is drawn instead of read, which tells when its search begins and ends.

    python -m tests.bench.stopped_program SHOP FILE ARGUMENTS...

FILE is a descriptor that the moments are written to, by monotonic time. Nothing is loaded before
the program loads it: its start is watched too.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib.machinery import ModuleSpec, PathFinder
from types import ModuleType
from typing import Any


class Changed:
    """Finds some modules as the system does, and changes them once they are loaded."""

    def __init__(self, changes: dict[str, Callable[[Any], None]]) -> None:
        self.changes = changes

    def find_spec(self, name: str, path: Any = None, _target: Any = None) -> ModuleSpec | None:
        """Return how a module is loaded that is to be changed; None for others."""
        change = self.changes.get(name)
        spec = None if change is None else PathFinder.find_spec(name, path)
        if spec is None or change is None:
            return None
        loader: Any = spec.loader
        load = loader.exec_module

        def exec_module(module: ModuleType) -> None:
            load(module)
            change(module)

        loader.exec_module = exec_module
        return spec


def main() -> None:
    """Run the program with these changes."""
    name, told, *arguments = sys.argv[1:]

    def moment(what: str) -> None:
        os.write(int(told), f"{what} {time.monotonic()}\n".encode())

    def drawn(module: Any) -> None:
        def read_shop(*_: Any, **__: Any) -> Any:
            from tests.bench.stopped_shops import SHOPS

            return SHOPS[name]()

        if name != "demo workshop":
            module.read_shop = read_shop

    def watched(module: Any) -> None:
        before = module.signals_end

        @contextmanager
        def signals_end(clock: Any) -> Iterator[None]:
            with before(clock):
                moment("search")
                yield
                moment("over")

        module.signals_end = signals_end

    changes = {"fitsolver.reading.shop": drawn, "fitsolver.allotment.allot": watched}
    sys.meta_path.insert(0, Changed(changes))  # type: ignore[arg-type]
    sys.argv = ["fitsolver", "allot", *arguments]
    from fitsolver.__main__ import main as program

    os.write(1, b"begun\n")
    program()


if __name__ == "__main__":
    main()
