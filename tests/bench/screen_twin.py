"""The same screening by pandas' own tools: cross merge, IntervalIndex, merge_asof, sort, drop.

Written for the bench's pattern (set size, one groove, everything to order), each step the way the
library's own documentation does such a join.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from fitsolver.fits.end_gap import PI
from fitsolver.records.catalogue import Route
from fitsolver.screening.pattern import Pattern

_ORDER = ["removal", "filing", "price", "days", "piston", "route", "ring"]


def twin(pattern: Pattern, largest: np.ndarray, smallest: np.ndarray) -> pd.DataFrame:
    """Return piston, ring, route, removal and filing of every bore, by row."""
    bores = pd.DataFrame({"row": np.arange(len(largest)), "largest": largest, "smallest": smallest})
    found = [_as_is(pattern, bores)]
    found += [_machined(pattern, route, bores) for route in pattern.catalogue.routes]
    every = pd.concat(found, ignore_index=True)
    best = every.sort_values(["row", *_ORDER]).drop_duplicates("row")
    return best.set_index("row").reindex(bores["row"])


def _pairs(pattern: Pattern, half: int) -> pd.DataFrame:
    """Every piston with every ring, and the local sizes `low` to `high` it fits."""
    windows = {window.fit: window for window in pattern.job.windows}
    clear, gap = windows["clearance"], windows["end_gap"]
    assert clear.low and clear.high and gap.low and gap.high
    pistons = pd.DataFrame(
        [(p.number, p.skirt.low, p.skirt.high, p.price) for p in pattern.catalogue.pistons],
        columns=["piston", "skirt_low", "skirt_high", "piston_price"],
    )
    rings = pd.DataFrame(
        [
            (r.number, r.gauge_diameter, r.gap.low, r.gap.high, r.file_most, r.price)
            for r in pattern.catalogue.rings
        ],
        columns=["ring", "gauge", "gap_low", "gap_high", "file_most", "ring_price"],
    )
    pairs = pistons.merge(rings, how="cross")
    p, q = PI.numerator, PI.denominator
    least = pairs["gauge"] - (pairs["file_most"] + pairs["gap_low"] - gap.low) * q // p
    most = pairs["gauge"] + (gap.high - pairs["gap_high"]) * q // p
    pairs["low"] = np.maximum(pairs["skirt_high"] + clear.low, least)
    pairs["high"] = np.minimum(pairs["skirt_low"] + clear.high, most) - 2 * half
    pairs["short"] = gap.low - pairs["gap_low"]
    return pairs[pairs["low"] <= pairs["high"]].reset_index(drop=True)


def _as_is(pattern: Pattern, bores: pd.DataFrame) -> pd.DataFrame:
    windows = {window.fit: window for window in pattern.job.windows}
    gap = windows["end_gap"]
    assert gap.low and gap.high
    widest = min(
        windows["out_of_round"].high or 0, (gap.high - gap.low) * PI.denominator // PI.numerator
    )
    some = bores[bores["largest"] - bores["smallest"] <= widest].reset_index(drop=True)
    joined = _inside(_pairs(pattern, 0), some, some["smallest"])
    joined = joined[joined["largest"] <= joined["high"]]
    return _figures(joined, joined["smallest"], 0, 0, 0, "as is")


def _machined(pattern: Pattern, route: Route, bores: pd.DataFrame) -> pd.DataFrame:
    pairs = _pairs(pattern, route.half_width)
    bores = bores.assign(clean=bores["largest"] + route.min_cut)
    joined = _inside(pairs, bores, bores["clean"])
    joined["size"] = joined["clean"]
    left = bores[~bores["row"].isin(joined["row"])].sort_values("clean")
    starts = pairs[["low"]].drop_duplicates().sort_values("low").rename(columns={"low": "size"})
    onward = pd.merge_asof(left, starts, left_on="clean", right_on="size", direction="forward")
    onward = onward.dropna(subset=["size"]).astype({"size": "int64"})
    onward = onward.merge(pairs, left_on="size", right_on="low")
    joined = pd.concat([joined, onward], ignore_index=True)
    removal = joined["size"] + route.half_width - joined["smallest"]
    if route.max_cut is not None:
        joined, removal = joined[removal <= route.max_cut], removal[removal <= route.max_cut]
    return _figures(joined, joined["size"], removal, route.cost, route.days, route.name)


def _inside(pairs: pd.DataFrame, bores: pd.DataFrame, size: pd.Series) -> pd.DataFrame:
    """Every bore with every pair whose interval its size lies in."""
    intervals = pd.IntervalIndex.from_arrays(pairs["low"], pairs["high"], closed="both")
    at, _ = intervals.get_indexer_non_unique(size)
    # As many matches a bore as intervals hold its size; -1 where there is none.
    lows, highs = np.sort(pairs["low"]), np.sort(pairs["high"])
    times = np.searchsorted(lows, size, "right") - np.searchsorted(highs, size, "left")
    rows = np.repeat(np.arange(len(bores)), np.maximum(times, 1))
    hit = at >= 0
    return pd.concat(
        [
            bores.iloc[rows[hit]].reset_index(drop=True),
            pairs.iloc[at[hit]].reset_index(drop=True),
        ],
        axis=1,
    )


def _figures(
    joined: pd.DataFrame,
    size: pd.Series,
    removal: pd.Series | int,
    cost: int,
    days: int,
    route: str,
) -> pd.DataFrame:
    grown = PI.numerator * (size - joined["gauge"]) // PI.denominator
    return joined[["row", "piston", "ring"]].assign(
        removal=removal,
        filing=np.maximum(0, joined["short"] - grown),
        price=joined["piston_price"] + joined["ring_price"] + cost,
        days=max(days, 4),
        route=route,
    )
