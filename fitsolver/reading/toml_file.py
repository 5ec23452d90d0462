"""A TOML file as plain data with exact decimals, and its canonical fingerprint."""

from __future__ import annotations

import hashlib
import json
import re
import tomllib
from collections.abc import Iterable
from typing import Any

from fitsolver.base.errors import InputError
from fitsolver.reading.files import File, read_text, too_large
from fitsolver.reading.hints import shown
from fitsolver.reading.limits import LARGEST_TOML
from fitsolver.reading.quantities import sane_decimal

_PLACE = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)")
_COMMA = re.compile(r"=\s*[+-]?\d+,\d+\s*(?:#.*)?$")

#: Keys joined by points, more than any file has: the parser takes the square of their number.
_LONG_KEY = re.compile(r"""(?<![\w"'-])(?:[\w"'-]++[ \t]*+\.[ \t]*+){64}""")
#: Tables and lists within one another: no file of this trade has more than four.
_DEEPEST = 16
#: The parser's messages about a repeated key or section.
_TWICE = re.compile("Cannot overwrite|Cannot declare|Duplicate inline")


def read_toml(path: File) -> dict[str, Any]:
    """Return the content of a TOML file; numbers with a point come as exact decimals.

    Raises InputError with the line where the file is no TOML.
    """
    text = read_text(path)
    if len(text) > LARGEST_TOML:
        raise too_large(path, len(text), LARGEST_TOML)
    return parse_toml(text, path)


def parse_toml(text: str, path: File) -> dict[str, Any]:
    """Return the content of TOML text; `path` is what messages call it. See `read_toml`."""
    if _LONG_KEY.search(text):
        raise _too_deep(path)
    try:
        found = tomllib.loads(text, parse_float=sane_decimal)
    except RecursionError as error:
        raise _too_deep(path) from error
    except ValueError as error:  # tomllib's own error is one too
        raise _not_toml(path, text, str(error)) from error
    level: list[object] = [found]
    for _ in range(_DEEPEST):
        level = [inner for item in level for inner in _within(item)]
        if not level:
            return found
    raise _too_deep(path)


def _within(item: object) -> Iterable[object]:
    if isinstance(item, dict):
        return item.values()
    return item if isinstance(item, list) else ()


def _too_deep(path: File) -> InputError:
    return InputError("brackets or keys are nested too deep", file=str(path))


def _not_toml(path: File, text: str, reason: str) -> InputError:
    match = _PLACE.search(reason)
    row = int(match[1]) if match and match[1] else None
    lines = text.split("\n")
    line = lines[row - 1].strip() if row and row <= len(lines) else ""
    message = f"this is not a TOML file ({_PLACE.sub('', reason)})"
    allowed = "KEY = VALUE as TOML has it: texts in quotes, one [section] or key a line"
    if _COMMA.search(line):
        allowed = "numbers with a decimal point, as 62.31"
    if _TWICE.match(reason):
        message, allowed = "this key or section stands twice", "each of them once"
    return InputError(
        message,
        file=str(path),
        row=row,
        found=shown(line) if line else None,
        allowed=allowed,
    )


def fingerprint(parts: Iterable[object], then: bytes = b"") -> str:
    """Return the SHA-256 of the content of files, independent of line ends and key order.

    `then`: what stands after the parts, as `as_bytes` gives it.
    """
    digest = hashlib.sha256()
    for part in parts:
        digest.update(as_bytes(part))
    digest.update(then)
    return digest.hexdigest()


def as_bytes(part: object) -> bytes:
    """Return the content of a file as the bytes of its fingerprint."""
    text = json.dumps(part, sort_keys=True, ensure_ascii=False, default=str)
    return text.encode("utf-8", "backslashreplace") + b"\n"
