"""Texts common to several cylinders appear once, with the names of the cylinders."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence


def named(names: Sequence[str], order: Sequence[str]) -> str:
    """Return names of cylinders in words; three or more that follow each other become a range.

    `order` are all cylinders. `['1', '2', '3', '5']` of eight is `cylinders 1 to 3, 5`.
    """
    if len(names) == 1:
        return f"cylinder {names[0]}"
    if len(names) == len(order):
        return "all cylinders"
    runs: list[list[str]] = []
    for name in sorted(names, key=order.index):
        follows = runs and order.index(runs[-1][-1]) + 1 == order.index(name)
        if follows:
            runs[-1].append(name)
        else:
            runs.append([name])
    return f"cylinders {', '.join(map(_run, runs))}"


def _run(names: Sequence[str]) -> str:
    return f"{names[0]} to {names[-1]}" if len(names) > 2 else ", ".join(names)


def together(said: Iterable[tuple[str, str]], order: Sequence[str]) -> Iterator[str]:
    """Yield each text once, after the names of its cylinders."""
    for names, text in _held(said):
        where = named(names, order)
        yield f"{where[0].upper()}{where[1:]}: {text}"


def paragraphs(said: Iterable[tuple[str, str]], order: Sequence[str]) -> Iterator[str]:
    """Yield the texts that hold for the same cylinders as one, after their names said once."""
    found: dict[tuple[str, ...], list[str]] = {}
    for names, text in _held(said):
        found.setdefault(tuple(names), []).append(text)
    for alike, texts in found.items():
        first, *rest = texts
        whole = " ".join((first, *(f"{text[0].upper()}{text[1:]}" for text in rest)))
        yield from together([(name, whole) for name in alike], order)


def _held(said: Iterable[tuple[str, str]]) -> Iterator[tuple[list[str], str]]:
    """Yield each text once, with the cylinders that it holds for."""
    holds: dict[str, list[str]] = {}
    for name, text in said:
        holds.setdefault(text, []).append(name)
    yield from ((names, text) for text, names in holds.items())
