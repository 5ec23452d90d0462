"""Worker processes hold catalogues: each is sent once, and again when it was let go."""

from __future__ import annotations

import asyncio
import pickle
from collections.abc import Sequence

import pytest

from fitsolver.page import held
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.records.catalogue import Catalogue

from .serving import CATALOGUES, queue

PUMP = read_catalogue(CATALOGUES["pump"])


def others(count: int) -> list[Catalogue]:
    """Return so many catalogues, no two of one fingerprint."""
    return [
        PUMP.model_copy(update={"name": str(n), "fingerprint": f"{n:064}"}) for n in range(count)
    ]


def name_of(catalogue: Catalogue) -> str:
    return catalogue.name


def sent_for(asked: Sequence[Catalogue], monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """Ask a process for the name of each catalogue; return the names of those sent for each."""
    found: list[list[str]] = []

    async def ask() -> None:
        async with queue() as solving:
            hand_over = solving._scheduled

            def watched(function: object, arguments: tuple[object, ...]) -> object:
                *_, brought = arguments
                assert isinstance(brought, dict)
                assert brought or len(pickle.dumps(arguments)) < 1_000
                found[-1] += [catalogue.name for catalogue in brought.values()]
                return hand_over(function, arguments)  # type: ignore[arg-type]

            monkeypatch.setattr(solving, "_scheduled", watched)
            for number, catalogue in enumerate(asked):
                found.append([])
                assert await solving.ask("a", number, name_of, catalogue) == catalogue.name

    asyncio.run(ask())
    return found


def test_a_catalogue_is_sent_once(monkeypatch: pytest.MonkeyPatch) -> None:
    one, other = others(2)
    found = sent_for([one, one, other, one, other], monkeypatch)
    assert found == [["0"], [], ["1"], [], []]


def test_a_process_that_let_one_go_asks_for_it(monkeypatch: pytest.MonkeyPatch) -> None:
    first, *rest = others(held.MOST + 1)
    found = sent_for([first, *rest, rest[0], first], monkeypatch)
    assert found[:-2] == [[c.name] for c in (first, *rest)]
    assert found[-2:] == [[], [first.name]]


def test_catalogues_with_other_rows_set_aside_are_others() -> None:
    from fitsolver.records.catalogue import SetAside
    from fitsolver.records.doubts import Doubt

    doubt = Doubt.model_construct(id="row PP-STD")
    aside = SetAside.model_construct(doubt=doubt, kind="piston", part=PUMP.pistons[0], at=0)
    fewer = PUMP.model_copy(update={"pistons": PUMP.pistons[1:], "set_aside": (aside,)})
    assert held.named(fewer) != held.named(PUMP)
    assert held.named(PUMP) == held.named(read_catalogue(CATALOGUES["pump"]))
    assert held.named("pick") == "pick"
