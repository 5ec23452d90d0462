"""The settings of the page: its address, its folders, its time limits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from ipaddress import ip_address
from pathlib import Path
from typing import Final

from fitsolver.base.errors import InputError

LOOPBACK_NAMES: Final = ("localhost", "127.0.0.1", "[::1]", "::1")
_SHORTEST_TOKEN: Final = 16


@dataclass(frozen=True)
class Settings:
    """The settings at the start of the page.

    `data` is the folder for jobs and uploaded catalogues. `catalogues` holds the catalogues known
    from the start, by name; with `change_catalogues` visitors may change them. `seconds` is the
    time limit of one question, `workers` the number of processes. `waiting` is the most questions
    in the queue, `each` the most of one visitor.
    """

    data: Path
    catalogues: Mapping[str, Path] = field(default_factory=dict)
    host: str = "127.0.0.1"
    port: int = 8750
    token: str | None = None
    names: tuple[str, ...] = ()
    book: str | None = None
    workers: int = 2
    seconds: float = 30.0
    waiting: int = 100
    each: int = 10
    change_catalogues: bool = False

    @property
    def allowed_names(self) -> tuple[str, ...]:
        """Return the host names under which a browser may open the page."""
        any_address = self.host in ("0.0.0.0", "::")
        return (*LOOPBACK_NAMES, *self.names, *(() if any_address else (self.host,)))

    def check(self) -> None:
        """Raise InputError for an address that would leave the page open to others."""
        if self.token is not None and not (self.token.isascii() and self.token.isprintable()):
            raise InputError(
                "the token cannot be sent",
                field="token",
                allowed="letters, digits and signs (ASCII)",
            )
        if is_loopback(self.host):
            return
        if self.token is None:
            raise InputError(
                "the page is open to this machine only, unless it asks for a token",
                field="host",
                found=self.host,
                allowed="127.0.0.1, or another address with a token",
            )
        if len(self.token) < _SHORTEST_TOKEN:
            raise InputError(
                "the token is short enough to be guessed",
                field="token",
                found=f"{len(self.token)} characters",
                allowed=f"{_SHORTEST_TOKEN} or more",
            )
        if self.host in ("0.0.0.0", "::") and not self.names:
            raise InputError(
                "by which name or address is the page called?",
                field="name",
                allowed="--name with each name or address that browsers use",
            )


def default_data() -> Path:
    """Return the folder that jobs and uploads are kept in unless another is named."""
    from platformdirs import user_data_path

    return user_data_path("fitsolver", appauthor=False) / "page"


def is_loopback(host: str) -> bool:
    """Tell whether only this machine can reach an address."""
    try:
        return host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        return False
