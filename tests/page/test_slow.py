"""Requests that do not arrive: they hold no place of those that do."""

from __future__ import annotations

import contextlib
import socket
import time
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import httpx
import pytest

from fitsolver.page.arriving import MOST, SECONDS

from .serving import served

HALF = b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: "
SOCKETS = 600


@contextlib.contextmanager
def half_sent(address: str, count: int) -> Iterator[list[socket.socket]]:
    """Hold so many connections on which half a head was sent."""
    place = urlsplit(address)
    assert place.port is not None
    with contextlib.ExitStack() as stack:
        found = []
        for _ in range(count):
            one = stack.enter_context(socket.create_connection(("127.0.0.1", place.port), 10))
            with contextlib.suppress(OSError):
                one.sendall(HALF)
            found.append(one)
        yield found


def is_closed(one: socket.socket) -> bool:
    one.setblocking(False)
    try:
        return one.recv(1) == b""
    except BlockingIOError:
        return False
    except OSError:
        return True


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served(tmp_path_factory.mktemp("slow")) as found:
        yield found


def test_a_good_request_is_answered_beside_600_half_sent_ones(address: str) -> None:
    assert httpx.get(address, timeout=30).status_code == 200  # what is loaded at first is loaded
    with half_sent(address, SOCKETS) as sockets:
        times = []
        for _ in range(10):
            begun = time.monotonic()
            assert httpx.get(address, timeout=30).status_code == 200
            times.append(time.monotonic() - begun)
        print(f"answered in {min(times):.3f} to {max(times):.3f} s")
        assert max(times) < 1
        assert sum(map(is_closed, sockets)) >= SOCKETS - MOST - 1


def test_half_a_head_is_waited_for_so_long_and_no_longer(address: str) -> None:
    with half_sent(address, 1) as (one,):
        begun = time.monotonic()
        one.settimeout(SECONDS + 10)
        for _ in range(int(SECONDS) - 2):  # a letter a second does not help
            one.sendall(b"a")
            time.sleep(1)
        with contextlib.suppress(OSError):
            assert one.recv(1) == b""
        assert SECONDS - 1 < time.monotonic() - begun < SECONDS + 5


def test_a_second_request_on_a_connection_must_come_too(address: str) -> None:
    place = urlsplit(address)
    with socket.create_connection(("127.0.0.1", place.port), 10) as one:
        one.sendall(b"GET /static/page.css HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n" + HALF)
        end = time.monotonic() + SECONDS + 10
        one.settimeout(SECONDS + 10)
        with contextlib.suppress(OSError):
            while one.recv(65536) and time.monotonic() < end:
                pass
        assert time.monotonic() < end


def test_one_address_alone_can_not_be_shut_out(tmp_path: Path) -> None:
    """Of many that wait, those of the address that has most of them go first."""
    from fitsolver.page.arriving import Waiting

    class One:
        def __init__(self, waiting: Waiting, address: str) -> None:
            self.waiting, self.address, self.gone = waiting, address, False

        def give_up(self) -> None:
            self.gone = True
            self.waiting.remove(self)  # type: ignore[arg-type]

    waiting = Waiting()
    good = One(waiting, "10.0.0.2")
    waiting.add(good)  # type: ignore[arg-type]
    many = [One(waiting, "10.0.0.1") for _ in range(3 * MOST)]
    for one in many:
        waiting.add(one)  # type: ignore[arg-type]
    assert not good.gone
    assert sum(not one.gone for one in many) == MOST - 1
    assert all(one.gone for one in many[: 2 * MOST])
