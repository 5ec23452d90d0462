"""Plots of how time grows with size, from what the benches kept: `python -m tests.bench.plots`.

A bench keeps a list of points in `tests/bench/data/NAME.json`; each has `seconds` and its size.
"""

from __future__ import annotations

import json
from pathlib import Path

DATA = Path(__file__).with_name("data")
DOCS = Path(__file__).parents[2] / "docs"
#: File of points, the field that is the size, and the title of the plot.
PLOTS = (
    ("screening", "rows", "Screening: seconds by rows, one core"),
    ("allotment", "jobs", "Allotment: seconds by jobs"),
)


def plot(name: str, size: str, title: str) -> Path | None:
    """Draw one curve on two logarithmic axes beside a straight line; None without points."""
    source = DATA / f"{name}.json"
    if not source.exists():
        return None
    import matplotlib as mpl

    mpl.use("svg")
    mpl.rcParams["svg.hashsalt"] = name  # the same points, the same bytes
    from matplotlib import pyplot as plt

    points = json.loads(source.read_text(encoding="utf-8"))
    sizes = [point[size] for point in points]
    seconds = [point["seconds"] for point in points]
    figure, axes = plt.subplots(figsize=(6, 4))
    axes.loglog(sizes, seconds, "o-", label="measured")
    straight = [seconds[-1] * each / sizes[-1] for each in sizes]
    axes.loglog(sizes, straight, "--", color="grey", label="in proportion to the largest")
    axes.set(xlabel=size, ylabel="seconds", title=title)
    axes.grid(visible=True, which="both", alpha=0.3)
    axes.legend()
    figure.tight_layout()
    target = DOCS / f"scaling_{name}.svg"
    figure.savefig(target, metadata={"Date": None})
    plt.close(figure)
    return target


if __name__ == "__main__":
    for each in PLOTS:
        drawn = plot(*each)
        print(drawn if drawn else f"no points for {each[0]}: run its bench first")
