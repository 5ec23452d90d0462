"""Price and stock lists that were sent, each with its answers."""

from __future__ import annotations

import re
import secrets
import shutil
from pathlib import Path
from typing import Final

from pydantic import BaseModel, ConfigDict, ValidationError

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.page.drafts import NoDraftError
from fitsolver.records.intake import IntakeAnswer

SUFFIXES: Final = (".csv", ".txt", ".tsv", ".xlsx", ".parquet")
_KEY: Final = re.compile(r"[0-9a-f]{16}")
_MOST: Final = 30
_STATE: Final = "state.json"
#: Most rows kept of a list that was taken in, for display.
_ROWS: Final = 200


class ListState(BaseModel):
    """The record of a list: its name, its target, and the answers by question.

    `into` is the key of a catalogue, '' = a new one called `title`. `taken` is the catalogue it was
    taken into. `told` holds its first rows; `understood` counts all of them.
    """

    model_config = ConfigDict(extra="ignore")
    name: str
    title: str = ""
    into: str = ""
    unit: Unit = "mm"
    given: tuple[tuple[str, str], ...] = ()
    taken: str = ""
    understood: int = 0
    told: IntakeAnswer | None = None


class Lists:
    """The folder of lists: a folder each, the newest ones only."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        folder.mkdir(parents=True, exist_ok=True)

    def keep(self, name: str, content: bytes, state: ListState) -> str:
        """Keep a list that was sent, unread, and return its key.

        Raises InputError for a file of another kind, and where it cannot be kept.
        """
        suffix = Path(name.replace("\\", "/")).suffix.lower()
        if suffix not in SUFFIXES:
            raise InputError(
                "this is no price or stock list",
                found=Path(name.replace("\\", "/")).name[:60],
                allowed=f"a file ending in {', '.join(SUFFIXES)}",
            )
        key = secrets.token_hex(8)
        try:
            (self._folder / key).mkdir()
            (self._folder / key / f"list{suffix}").write_bytes(content)
            self.write(key, state)
            self._thin_out(key)
        except OSError as error:
            raise InputError(f"the list cannot be kept ({error.strerror})") from error
        return key

    def _thin_out(self, newest: str) -> None:
        held = sorted(self._folder.iterdir(), key=lambda path: path.stat().st_mtime, reverse=True)
        for old in held[_MOST:]:
            if old.name != newest:
                shutil.rmtree(old, ignore_errors=True)

    def read(self, key: str) -> ListState:
        """Return a list's record; raises NoDraftError for an unknown key."""
        try:
            text = (self._of(key) / _STATE).read_text(encoding="utf-8")
            return ListState.model_validate_json(text)
        except (OSError, ValidationError) as error:
            raise NoDraftError("this list is not kept any more: send it again") from error

    def write(self, key: str, state: ListState) -> None:
        """Write the record of a list."""
        told = state.told
        if told is not None:
            least = {name: getattr(told, name)[:_ROWS] for name in ("articles", "unclear")}
            state = state.model_copy(update={"told": told.model_copy(update=least)})
        folder = self._of(key)
        new = folder / f".{secrets.token_hex(4)}"
        new.write_text(state.model_dump_json(), encoding="utf-8")
        new.replace(folder / _STATE)

    def file(self, key: str) -> Path:
        """Return the path of a list; raises NoDraftError for an unknown key."""
        found = [path for path in self._of(key).glob("list.*") if path.suffix in SUFFIXES]
        if not found:
            raise NoDraftError("this list is not kept any more: send it again")
        return found[0]

    def _of(self, key: str) -> Path:
        if not _KEY.fullmatch(key):
            raise NoDraftError("there is no such list")
        return self._folder / key
