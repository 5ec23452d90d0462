"""The time limit on a request's head, which the server by itself would await without end.

A connection that has sent half a head occupies one of a limited number of places. The page closes
it after some seconds. When too many connections wait, it closes one earlier: the oldest one of the
address that has the most. A visitor who sends whole requests is therefore always answered.
"""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from typing import Final

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

#: Seconds for the head of a request, and most connections that may wait at once.
SECONDS: Final = 10.0
MOST: Final = 200


class Waiting:
    """The connections without a whole request head yet, by address, the oldest first."""

    def __init__(self) -> None:
        self._by_address: dict[str, OrderedDict[Arriving, None]] = {}
        self._count = 0

    def add(self, connection: Arriving) -> None:
        """Add a waiting connection; close one if too many wait."""
        those = self._by_address.setdefault(connection.address, OrderedDict())
        self._count += connection not in those
        those[connection] = None
        if self._count > MOST:
            most = max(self._by_address.values(), key=len)
            next(iter(most)).give_up()

    def remove(self, connection: Arriving) -> None:
        """Remove a connection from the waiting ones."""
        those = self._by_address.get(connection.address, OrderedDict())
        if connection in those:
            del those[connection]
            self._count -= 1
            if not those:
                del self._by_address[connection.address]


class Arriving(H11Protocol):
    """One connection: it is closed when the head of a request does not come in time."""

    #: The waiting connections of the page, which runs one server a process.
    waiting: Final = Waiting()
    _timer: asyncio.TimerHandle | None = None

    @property
    def address(self) -> str:
        """Who is at the other end."""
        return self.client[0] if self.client else ""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for a request."""
        super().connection_made(transport)
        self._look()

    def data_received(self, data: bytes) -> None:
        """Keep waiting while the head of the request is incomplete."""
        super().data_received(data)
        self._look()

    def on_response_complete(self) -> None:
        """Wait for the next request of the connection; part of it may have arrived already."""
        super().on_response_complete()
        self._look()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more."""
        self._stop()
        super().connection_lost(exc)

    def give_up(self) -> None:
        """Close the connection without an answer: nothing was asked."""
        self._stop()
        self.transport.abort()

    def _look(self) -> None:
        """Tell from the bytes received whether a head is incomplete; its time runs from the first
        byte.
        """
        if self.transport.is_closing() or self.conn.their_state is not h11.IDLE:
            self._stop()
        elif self._timer is None:
            self._timer = self.loop.call_later(SECONDS, self.give_up)
            self.waiting.add(self)

    def _stop(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        self.waiting.remove(self)
