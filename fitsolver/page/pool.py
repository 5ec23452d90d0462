"""Solving for many visitors: few processes, a time limit, a fair queue, no question twice."""

from __future__ import annotations

import asyncio
import gc
import multiprocessing
import os
from collections import Counter, OrderedDict, deque
from collections.abc import Callable, Hashable
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from threading import Thread
from typing import Final, ParamSpec, TypeVar, cast

from pebble import ProcessExpired, ProcessPool

from fitsolver.base.errors import InputError
from fitsolver.page import held

_REMEMBERED: Final = 200
#: Seconds for which a question is not taken up though a process is free: then they are stuck.
_STUCK: Final = 30
#: The next question notices a process that was killed while idle.
_ATTEMPTS: Final = 3

P = ParamSpec("P")
T = TypeVar("T")
Function = Callable[..., object]


class BusyError(InputError):
    """The queue is full; asking again later helps."""


class TooLongError(InputError):
    """A question was not answered in its time."""


class Once:
    """The key of a question whose answer is not remembered."""


def _nothing() -> None:
    """Load nothing ahead."""


class Solving:
    """Worker processes behind a queue in which the visitors take turns.

    Each process calls `load` before its first question.

    A repeated question is answered from memory. A question in progress is awaited, not asked twice.
    `seconds` counts from the start of the work. A visitor is an address and, after a blank, a name
    that the visitor chooses. Addresses take turns, and so do the visitors of one address.
    """

    def __init__(
        self,
        workers: int,
        seconds: float,
        waiting: int,
        each: int,
        load: Callable[[], None] = _nothing,
    ) -> None:
        self._seconds, self._waiting, self._each = seconds, waiting, each
        self._workers, self._load = workers, load
        self._pool = self._new_pool()
        self._given: set[Future[object]] = set()
        self._asked: Counter[str] = Counter()
        self._from: Counter[str] = Counter()
        self._running: dict[Hashable, asyncio.Task[object]] = {}
        self._known: OrderedDict[Hashable, object] = OrderedDict()
        self._free = workers + 1  # one more is handed over, so that no process waits for it
        self._lines: OrderedDict[str, OrderedDict[str, deque[asyncio.Future[None]]]] = OrderedDict()

    async def ask(
        self,
        visitor: str,
        key: Hashable,
        function: Callable[P, T],
        *arguments: P.args,
        **no_more: P.kwargs,
    ) -> T:
        """Return `function(*arguments)`, worked out in a process; `key` names the question.

        A catalogue among the arguments is sent to each process once, afterwards by its fingerprint.
        Raises BusyError when the queue is full or this visitor's share of it, TooLongError when
        the time is over, and what the function raises.
        """
        assert not no_more, "arguments are given by their places"
        if key in self._known:
            self._known.move_to_end(key)
            return cast(T, self._known[key])
        if key not in self._running:
            self._check(visitor)
            self._asked[visitor] += 1  # here, so that no other question slips in between
            self._from[_address(visitor)] += 1
            task = asyncio.create_task(self._work(visitor, function, arguments))
            self._running[key] = task
            task.add_done_callback(lambda done: self._finish(visitor, key, done))
        return cast(T, await asyncio.shield(self._running[key]))

    def close(self) -> None:
        """End the processes."""
        self._pool.stop()  # type: ignore[no-untyped-call]
        self._pool.join()

    def _check(self, visitor: str) -> None:
        if self._asked.total() >= self._waiting:
            raise BusyError("too many questions are waiting; ask again in a moment")
        if self._asked[visitor] >= self._each:
            raise BusyError("your questions are still being worked on; ask again in a moment")
        if self._from[_address(visitor)] >= max(self._each, self._waiting // 2):
            raise BusyError("too many questions from your address are waiting; ask again")

    async def _work(
        self, visitor: str, function: Function, arguments: tuple[object, ...]
    ) -> object:
        await self._turn(visitor)
        try:
            return await self._answered(function, arguments)
        except TimeoutError as error:
            raise TooLongError(
                f"this was not settled within {self._seconds:g} s, the most time that this page "
                "gives to one question"
            ) from error
        except (ProcessExpired, BrokenProcessPool) as error:
            raise BusyError("the work on this was broken off; ask again") from error
        finally:
            self._next()

    async def _answered(self, function: Function, arguments: tuple[object, ...]) -> object:
        """Return what a process makes of it; bring the catalogues where it has not got them."""
        told = tuple(map(held.named, arguments))
        found = await self._done(held.answered, (function, told, {}))
        if isinstance(found, held.Wanted):  # all of them: another process may take it up
            brought = held.catalogues(arguments)
            found = await self._done(held.answered, (function, told, brought))
        return found

    async def _done(self, function: Function, arguments: tuple[object, ...]) -> object:
        """Return what a process makes of it; ask again where the process had been killed before."""
        for _ in range(_ATTEMPTS - 1):
            with suppress(ProcessExpired, BrokenProcessPool):
                return await self._outcome(self._scheduled(function, arguments))
        return await self._outcome(self._scheduled(function, arguments))

    async def _outcome(self, asked: Future[object]) -> object:
        """Return what comes of a question; start new processes where no free one takes it up.

        One that is killed while it takes up a question keeps the lock that the others wait for.
        Raises BrokenProcessPool then, and what the function raises.
        """
        pool, outcome, ignored = self._pool, asyncio.wrap_future(asked), 0
        self._given.add(asked)
        try:
            while not (await asyncio.wait({outcome}, timeout=1))[0]:
                taken = sum(each.running() for each in self._given)
                ignored = 0 if asked.running() or taken >= self._workers else ignored + 1
                if ignored >= _STUCK:
                    outcome.cancel()
                    self._renew(pool)
                    raise BrokenProcessPool
            return outcome.result()
        finally:
            self._given.discard(asked)

    def _new_pool(self) -> ProcessPool:
        context = multiprocessing.get_context("spawn")
        return ProcessPool(
            max_workers=self._workers, context=context, initializer=_warm_up, initargs=[self._load]
        )

    def _scheduled(self, function: Function, arguments: tuple[object, ...]) -> Future[object]:
        """Hand a question to the processes; start new ones if an idle one was killed."""
        if not self._pool.active:
            self._renew(self._pool)
        return self._pool.schedule(function, args=arguments, timeout=self._seconds)

    def _renew(self, pool: ProcessPool) -> None:
        """End the processes of a pool, and start others if it is the one in use."""
        if pool is self._pool:
            self._pool = self._new_pool()
            pool.stop()  # type: ignore[no-untyped-call]
            Thread(target=pool.join, daemon=True).start()

    async def _turn(self, visitor: str) -> None:
        """Wait until it is this visitor's turn."""
        if self._free:
            self._free -= 1
            return
        place = asyncio.get_running_loop().create_future()
        line = self._lines.setdefault(_address(visitor), OrderedDict())
        line.setdefault(visitor, deque()).append(place)
        await place

    def _next(self) -> None:
        """Pass the turn on: each address, and each of its visitors, gets one before anyone gets a
        second.
        """
        if not self._lines:
            self._free += 1
            return
        address, line = self._lines.popitem(last=False)
        visitor, places = line.popitem(last=False)
        places.popleft().set_result(None)
        if places:
            line[visitor] = places
        if line:
            self._lines[address] = line

    def _finish(self, visitor: str, key: Hashable, done: asyncio.Task[object]) -> None:
        del self._running[key]
        self._asked[visitor] -= 1
        self._from[_address(visitor)] -= 1
        self._asked += Counter()  # forgets those who wait for nothing
        self._from += Counter()
        if isinstance(key, Once):
            return
        if not done.cancelled() and done.exception() is None:
            self._known[key] = done.result()
            while len(self._known) > _REMEMBERED:
                self._known.popitem(last=False)


def _address(visitor: str) -> str:
    return visitor.partition(" ")[0]


def _warm_up(load: Callable[[], None]) -> None:
    """Load what every question needs, before the first one comes."""
    Thread(target=_end_with_the_page, daemon=True).start()
    load()
    gc.freeze()  # what is loaded now stays: no collection looks through it again


def _end_with_the_page() -> None:
    """End this process when the page does, even where that was killed and could not say so."""
    page = multiprocessing.parent_process()
    assert page is not None
    page.join()
    os._exit(1)
