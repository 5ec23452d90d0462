"""Independent pieces of work, spread over this machine's cores or over a Dask cluster.

The pieces do not know of each other, so where and in which order they are done changes nothing:
results come back in the order of the items. Items are drawn as they are needed, so memory stays
flat however many there are.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures import TimeoutError as NotYetError
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from functools import partial
from itertools import islice
from socket import create_connection
from threading import Event, Thread
from time import monotonic
from typing import Any, Final, TypeVar

from fitsolver.base.errors import FitsolverError, InputError

Item = TypeVar("Item")
Result = TypeVar("Result")

#: Seconds until a scheduler that does not answer is given up.
PATIENCE: Final = 5
#: Items under way for each worker: one is worked on while the next is brought.
_AHEAD: Final = 2
#: A piece whose worker was lost is done again on another; so often before it is given up.
_RETRIES: Final = 3
#: Bytes of what a scheduler says first, at most.
_LONGEST_GREETING: Final = 1_000_000
#: Seconds that pieces under way have to end by themselves, once they are asked to.
_GRACE: Final = 1.2
#: How often a wait looks up (seconds).
_LOOK_UP: Final = 0.05
_HERE: Final = "an address as tcp://host:8786; without --scheduler the work is done on this machine"


def run(
    function: Callable[[Item], Result],
    items: Iterable[Item],
    scheduler: str | None = None,
    workers: int | None = None,
    stop: Callable[[], bool] | None = None,
) -> Iterator[Result]:
    """Yield `function` of every item, in the order of the items.

    `scheduler` is the address of a Dask scheduler; without one the work is done on this machine,
    in as many processes as `workers` says (None: one for each core; 1: in this process). Function,
    items and results travel between processes, so they can be pickled. What `function` raises is
    raised here. Raises InputError where the scheduler does not answer, has no worker, or Dask is
    not installed. Left early, by Ctrl-C too, nothing keeps running.

    With `stop`, asked again and again, signals are the caller's: once it says so, pieces under way
    on this machine are asked to end (see `while_told`), and what comes within moments is yielded.
    """
    if scheduler is not None:
        return _on_cluster(function, items, scheduler, stop)
    count = cores() if workers is None else workers
    if count < 1:
        raise InputError("no such number", field="workers", found=workers, allowed="1 or more")
    return map(function, items) if count == 1 else _on_cores(function, items, count, stop)


def cores() -> int:
    """Return how many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _on_cores(
    function: Callable[[Item], Result],
    items: Iterable[Item],
    count: int,
    stop: Callable[[], bool] | None,
) -> Iterator[Result]:
    # Fresh processes: a copy of one that has threads running already may hang.
    context = multiprocessing.get_context("spawn")
    asked = None if stop is None else context.Event()
    pool = ProcessPoolExecutor(
        count, mp_context=context, initializer=_leave_interrupts, initargs=(asked,)
    )

    def begin(work: Callable[..., Any], *arguments: Any) -> Future[Any]:
        with _unheard():  # it may start a process
            return pool.submit(work, *arguments)

    try:
        for _ in range(count):  # each starts a process, which takes longer than this work
            begin(int)
        yield from _in_order(
            partial(begin, function),
            items,
            _AHEAD * count,
            _Ending(stop, (lambda: None) if asked is None else asked.set),
        )
    except _EndedError:
        _end(pool)
    except BrokenProcessPool as error:
        raise FitsolverError("a process that did part of the work was ended") from error
    except BaseException:
        _end(pool)
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def _unheard() -> Iterator[None]:
    """Start processes with Ctrl-C ignored from their first moment."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _end(pool: ProcessPoolExecutor) -> None:
    """End the processes at once, in the middle of a piece."""
    for process in list((pool._processes or {}).values()):
        process.kill()
    # Nobody reads what is being sent any more: a large item would be waited for without end.
    queue: Any = getattr(pool, "_call_queue", None)
    if queue is not None:
        with suppress(OSError):  # the pool has noticed by itself, and closed it
            queue._reader.close()


#: What asks this process to end its piece (None: nothing does).
_asked: list[Any] = [None]


def _leave_interrupts(asked: Any = None) -> None:
    """Ctrl-C reaches every process of a terminal; the first one ends the others."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if asked is not None:
        signal.signal(signal.SIGTERM, signal.SIG_IGN)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT, signal.SIGTERM})
    _asked[0] = asked
    Thread(target=_end_with_the_first, daemon=True).start()


def _end_with_the_first() -> None:
    """End this process with the one that started it, however that was ended."""
    first = multiprocessing.parent_process()
    if first is not None:
        first.join()
        os._exit(1)


@contextmanager
def while_told(end: Callable[[], None]) -> Iterator[None]:
    """Call `end` where this process is asked to end its piece meanwhile."""
    asked, done = _asked[0], Event()
    if asked is None:
        yield
        return

    def watch() -> None:
        while not done.wait(_LOOK_UP):
            if asked.is_set():
                end()
                return

    Thread(target=watch, daemon=True).start()
    try:
        yield
    finally:
        done.set()


class _EndedError(Exception):
    """Pieces under way did not end in time."""


class _Ending:
    """Waits for results; once asked to stop it tells so, and gives what is under way moments."""

    def __init__(self, stop: Callable[[], bool] | None, tell: Callable[[], None]) -> None:
        self.stop, self.tell = stop, tell
        self.since: float | None = None

    @property
    def begun(self) -> bool:
        """Tell whether no piece is begun any more."""
        if self.since is None and self.stop is not None and self.stop():
            self.since = monotonic()
            self.tell()
        return self.since is not None

    def result(self, future: Future[Result]) -> Result:
        """Return a result; raises _EndedError where it does not come in time."""
        if self.stop is None:
            return future.result()
        while True:
            try:
                return future.result(timeout=_LOOK_UP)
            except (NotYetError, TimeoutError):
                if self.begun and monotonic() > (self.since or 0.0) + _GRACE:
                    raise _EndedError from None


def _on_cluster(
    function: Callable[[Item], Result],
    items: Iterable[Item],
    scheduler: str,
    stop: Callable[[], bool] | None,
) -> Iterator[Result]:
    client = _client(scheduler)
    try:
        threads = max(1, sum(client.nthreads().values()))
        yield from _in_order(
            lambda item: client.submit(function, item, pure=False, retries=_RETRIES),
            items,
            _AHEAD * threads,
            _Ending(stop, lambda: None),
        )
    except _EndedError:
        pass
    finally:
        client.close()  # what nobody waits for any more is dropped there


def _client(scheduler: str) -> Any:
    try:
        from distributed import Client
    except ImportError as error:
        raise InputError(
            "Dask is not installed; `pip install fitsolver[cluster]` brings it",
            field="scheduler",
            found=scheduler,
            allowed="without --scheduler the work is done on this machine",
        ) from error
    refused = {"field": "scheduler", "found": scheduler, "allowed": _HERE}
    if not _greets(scheduler):
        raise InputError("no scheduler answers", **refused)
    try:
        client = Client(scheduler, timeout=PATIENCE)
    except Exception as error:  # what else sits at that address fails anywhere in the reading
        raise InputError("no scheduler answers", **refused) from error
    try:
        client.wait_for_workers(1, timeout=PATIENCE)
    except OSError as error:  # time-outs are OSErrors
        client.close()
        raise InputError("the scheduler has no worker", **refused) from error
    return client


def _greets(scheduler: str) -> bool:
    """Tell whether a scheduler sits at a plain address: it speaks first, a short message.

    Asked before Dask is, which would wait without end for one who takes the call and is silent.
    """
    protocol, _, place = scheduler.rpartition("://")
    host, _, port = place.rpartition(":")
    if protocol not in ("", "tcp"):
        return True  # encrypted, or through another door: Dask alone can tell
    try:
        with create_connection((host.strip("[]"), int(port)), timeout=PATIENCE) as line:
            head = line.recv(8)
    except (OSError, ValueError):
        return False
    return 0 < int.from_bytes(head, "little") < _LONGEST_GREETING


def _in_order(
    submit: Callable[[Item], Future[Result]], items: Iterable[Item], ahead: int, ending: _Ending
) -> Iterator[Result]:
    """Yield results in order, with at most that many items under way."""
    left = iter(items)
    under_way = deque(submit(item) for item in islice(left, ahead))
    while under_way:
        result = ending.result(under_way.popleft())
        if not ending.begun:
            under_way.extend(submit(item) for item in islice(left, 1))
        yield result
