"""The last calls at the counter with their answers, as they were given."""

from __future__ import annotations

import re
import secrets
import time
from pathlib import Path
from typing import Final

from pydantic import BaseModel, ConfigDict, ValidationError

from fitsolver.base.errors import InputError
from fitsolver.page.drafts import NoDraftError
from fitsolver.records.counter import CounterAnswer

_MOST: Final = 40
_NAME: Final = re.compile(r"[0-9]{13}-[0-9a-f]{6}")
_UNDER_WAY: Final = ".new-"


class Call(BaseModel):
    """A question at the counter and what was answered; `asked_at` counts seconds since 1970."""

    model_config = ConfigDict(extra="ignore")
    key: str
    asked_at: float
    catalogue: str
    family: str
    sizes: str
    answer: CounterAnswer


class Calls:
    """The folder of calls: a file for each, the newest ones only."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        folder.mkdir(parents=True, exist_ok=True)
        for path in folder.glob(f"{_UNDER_WAY}*"):
            path.unlink(missing_ok=True)

    def keep(self, catalogue: str, family: str, sizes: str, answer: CounterAnswer) -> str:
        """Keep a call with its answer and return its key; raises InputError where it cannot be."""
        now = time.time()
        key = f"{int(now * 1000):013d}-{secrets.token_hex(3)}"
        call = Call(
            key=key, asked_at=now, catalogue=catalogue, family=family, sizes=sizes, answer=answer
        )
        new = self._folder / f"{_UNDER_WAY}{key}"
        try:
            new.write_text(call.model_dump_json(), encoding="utf-8")
            new.replace(self._folder / f"{key}.json")
            for old in self.keys()[_MOST:]:
                (self._folder / f"{old}.json").unlink(missing_ok=True)
        except OSError as error:
            raise InputError(f"the call cannot be kept ({error.strerror})") from error
        return key

    def keys(self) -> list[str]:
        """Return the keys of the calls, the newest first."""
        return sorted((path.stem for path in self._folder.glob("[0-9]*.json")), reverse=True)

    def read(self, key: str) -> Call:
        """Return a call; raises NoDraftError for an unknown key."""
        try:
            if not _NAME.fullmatch(key):
                raise FileNotFoundError
            text = (self._folder / f"{key}.json").read_text(encoding="utf-8")
            return Call.model_validate_json(text)
        except (OSError, ValidationError) as error:
            raise NoDraftError("this call is not kept any more") from error

    def last(self, most: int) -> list[Call]:
        """Return the last calls, the newest first; what cannot be read is left out."""
        found = []
        for key in self.keys()[:most]:
            try:
                found.append(self.read(key))
            except NoDraftError:
                continue
        return found
