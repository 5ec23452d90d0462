"""Which figure holds where a job, its family sheet and the shop each may state one.

The job's outranks the family sheet's, and that the shop's (docs/decision.md, "Who states a
figure"). Nothing here reads a figure: the tables are laid over each other, and one reader reads
the result.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final, NamedTuple

from fitsolver.reading.owned import Layer, Owned, merged
from fitsolver.reading.sections import plain
from fitsolver.records.base import FITS

#: Keys that state one figure in different ways: one way outranks the other ways of lower tables.
_WAYS: Final = (
    (
        (
            "squish.measured",
            "squish.old_gaskets",
            "squish.old_base_gaskets",
            "squish.old_compression_height",
        ),
        ("squish.base_low", "squish.base_high", "squish.squish_before", "squish.deck_before"),
        ("engine.deck_height", "engine.head_step"),
    ),
    (("measuring.factor",), ("measuring.probability",)),
)
#: Ways in which a cylinder has its size.
_SIZES: Final = ("readings", "readings_file", "finished_size")
#: Sections of the whole job that a cylinder may have of its own.
_OF_CYLINDERS: Final = ("zone", "port", "squish", "wear_per_rebuild")
_SETS: Final = ("same_size", "mass_match")


class Fitted(NamedTuple):
    """The fit, groove and port that a window or an entry of `no_window` is of."""

    fit: object
    groove: object = None
    port: object = None

    def replaces(self, other: Fitted) -> bool:
        """Tell whether a window for this leaves nothing of one for the other."""
        everywhere = self.groove is None and self.port is None
        return self == other or (everywhere and self.fit == other.fit)


def fitted(window: object) -> Fitted | None:
    """Return the subject of a window's table; None for anything else."""
    if not isinstance(window, dict):
        return None
    fit = window.get("fit")
    if fit not in FITS:
        fit = next((one for one in FITS if plain(one) == plain(fit)), fit)
    return Fitted(fit, window.get("groove"), window.get("port"))


def laid_over(layers: list[Layer]) -> Owned:
    """Return the job that the layers state, the first (the job's own) having precedence.

    Windows replace those of lower layers for the same fit and groove, one for all grooves all of
    that fit; `no_window` leaves out those of lower layers. What any layer accepts is accepted.
    Other lists replace, tables are merged key by key.
    """
    job = layers[0]
    cylinders = _tables(job.data.get("cylinder"))
    above: list[Layer] = []
    for layer in layers:
        own = dict(layer.data)
        if above:
            _drop_other_ways(own, above)
            _drop_overridden(own, cylinders)
            _drop_outranked(own, above)
        _complete_sets(own, cylinders)
        above.append(Layer(own, layer.source))
    found = merged(above)
    _lay_windows(found, above)
    _lay_accepted(found, above)
    _lay_cylinders(found, job)
    return found


def _lay_windows(found: Owned, layers: list[Layer]) -> None:
    """List the windows of all layers; the reader later refuses a value that is not a list."""
    having = [layer for layer in layers if "window" in layer.data]
    for layer in having:
        if not isinstance(layer.data["window"], list):
            found["window"], found.sources["window"] = layer.data["window"], layer.source
            return
    if having:
        found["window"] = [window for layer in having for window in layer.data["window"]]


def _lay_accepted(found: Owned, layers: list[Layer]) -> None:
    """List what the layers accept; the reader later refuses a value that is not a list."""
    stated = [layer.data["accept"] for layer in layers if "accept" in layer.data]
    if len(stated) > 1 and all(isinstance(each, list) for each in stated):
        found["accept"] = list(dict.fromkeys(name for each in stated for name in each))


def _tables(value: object) -> list[dict[str, Any]]:
    return [item for item in value if isinstance(item, dict)] if isinstance(value, list) else []


def has(data: dict[str, Any], key: str) -> bool:
    """Tell whether a table has a key, written with points through the tables within it."""
    first, _, rest = key.partition(".")
    if not rest:
        return first in data
    return isinstance(data.get(first), dict) and has(data[first], rest)


def without(data: dict[str, Any], key: str) -> dict[str, Any]:
    """Return a table without one of its keys, and without a table that is empty then."""
    first, _, rest = key.partition(".")
    if not has(data, key):
        return data
    new = {k: v for k, v in data.items() if k != first}
    if not rest:
        return new
    inner = without(data[first], rest)
    return {k: inner if k == first else v for k, v in data.items()} if inner else new


def _drop_other_ways(own: dict[str, Any], above: list[Layer]) -> None:
    dropped: list[str] = []
    for ways in _WAYS:
        for way in ways:
            if any(has(layer.data, key) for layer in above for key in way):
                dropped += [key for other in ways if other is not way for key in other]
    if any(_decision(layer.data) == "plain" for layer in above):
        dropped += ["measuring.factor", "measuring.probability"]
    new = own
    for key in dropped:
        new = without(new, key)
    _become(own, new)


def _become(own: dict[str, Any], new: dict[str, Any]) -> None:
    if new is not own:
        own.clear()
        own.update(new)


def _decision(data: dict[str, Any]) -> object:
    measuring = data.get("measuring")
    return measuring.get("decision") if isinstance(measuring, dict) else None


def _drop_overridden(own: dict[str, Any], cylinders: list[dict[str, Any]]) -> None:
    """Drop entries that every cylinder of the job overrides."""
    if not cylinders:
        return
    new = own
    for key in _OF_CYLINDERS:
        if all(key in cylinder for cylinder in cylinders):
            new = without(new, key)
    if all("routes" in cylinder for cylinder in cylinders):
        new = without(new, "finish.routes")
    _become(own, new)


def numbered(layer: Layer) -> Layer:
    """Return a layer whose windows know their file and their place in it."""
    windows = layer.data.get("window")
    if not isinstance(windows, list):
        return layer
    known = [
        Owned(window, layer.source, number) if isinstance(window, dict) else window
        for number, window in enumerate(windows, start=1)
    ]
    return Layer({**layer.data, "window": known}, layer.source)


def _drop_outranked(own: dict[str, Any], above: list[Layer]) -> None:
    """Drop the windows and the open fits that a higher layer states or leaves open."""
    stated = [f for up in above for window in _windows(up) if (f := fitted(window))]
    left_open = [f for up in above for f in _opened(up.data.get("no_window"))]
    for key, fits, by in (
        ("window", lambda item: [fitted(item)], [*stated, *left_open]),
        ("no_window", lambda item: list(_opened([item])), stated),
    ):
        if isinstance(own.get(key), list):
            own[key] = [
                item for item in own[key] if not any(_outranked(one, by) for one in fits(item))
            ]


def _windows(layer: Layer) -> list[Any]:
    windows = layer.data.get("window")
    return windows if isinstance(windows, list) else []


def _outranked(one: Fitted | None, by: list[Fitted]) -> bool:
    return one is not None and any(other.replaces(one) for other in by)


def _opened(names: object) -> Iterator[Fitted]:
    for name in names if isinstance(names, list) else ():
        if isinstance(name, str):
            fit, _, groove = name.partition(" ")
            yield Fitted(fit, int(groove) if groove.isdecimal() else None)


def _complete_sets(own: dict[str, Any], cylinders: list[dict[str, Any]]) -> None:
    """Read a set that names no cylinder as one of every cylinder; one alone is no set."""
    names = [cylinder.get("name") for cylinder in cylinders]
    for key in _SETS:
        sets = own.get(key)
        if isinstance(sets, list):
            own[key] = [
                {**item, "cylinders": names}
                if isinstance(item, dict) and "cylinders" not in item
                else item
                for item in sets
                if len(names) > 1 or not isinstance(item, dict) or "cylinders" in item
            ]


def _lay_cylinders(found: Owned, job: Layer) -> None:
    """Lay every cylinder over the owners' entries for cylinders."""
    each = found.pop("each_cylinder", None)
    cylinders = job.data.get("cylinder")
    if not isinstance(each, dict) or not isinstance(cylinders, list):
        return
    if not isinstance(each, Owned):
        each = merged([Layer(each, found.sources["each_cylinder"])])
    found["cylinder"] = [
        _laid(cylinder, each, job, number) if isinstance(cylinder, dict) else cylinder
        for number, cylinder in enumerate(cylinders, start=1)
    ]


def _laid(cylinder: dict[str, Any], under: Owned, job: Layer, number: int) -> Owned:
    own = Owned(cylinder, job.source, number)
    sized = any(key in cylinder for key in _SIZES)
    for key, value in under.items():
        if key not in cylinder and not (sized and key in _SIZES):
            own[key] = value
            own.sources[key] = under.sources[key]._replace(place="[each_cylinder]")
    return own
