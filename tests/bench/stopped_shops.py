"""The shops whose allotment `tests.bench.stopped` ends."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from fitsolver.reading.shop import read_shop
from fitsolver.records.allotment import Shop
from fitsolver.usecases.loading import holding
from tests.bench.allot_instances import families, shop, with_kits

DEMO: Final = Path(__file__).parents[2] / "catalogs_demo" / "workshop"

SHOPS: Final[dict[str, Callable[[], Shop]]] = {
    "demo workshop": lambda: read_shop(DEMO, holding(())),
    "20 jobs, scarce": lambda: shop(20, 3, 0.5),
    "40 jobs": lambda: shop(40, 5, 0.9),
    "12 jobs with kits": lambda: with_kits(shop(12, 2, 0.8), 2),
    "3 families of 6 jobs with kits": lambda: families(3, 6, seed=5, plenty=0.8, kits=True),
}
