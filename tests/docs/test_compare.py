"""The comparison itself: a page that is wrong by a character is caught."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.docs.compare import NoPlaceError, agrees, refreshed
from tests.docs.pages import blocks, commands
from tests.docs.running import run_page

ACTUAL = ["a", "b", "c", "d", "c", "e"]


@pytest.mark.parametrize(
    "shown",
    [
        ACTUAL,
        ["..."],
        ["a", "..."],
        ["...", "e"],
        ["a", "...", "c", "...", "e"],
        ["a", "...", "c", "d", "...", "e"],
        ["a", "...", "b", "c", "d", "c", "e"],
    ],
)
def test_agrees(shown: list[str]) -> None:
    assert agrees(shown, ACTUAL)
    assert refreshed(shown, ACTUAL) == shown


@pytest.mark.parametrize(
    "shown",
    [
        [],
        ACTUAL[:-1],
        [*ACTUAL, "f"],
        ["a", "..", "e"],
        ["b", "..."],
        ["...", "d"],
        ["a", "...", "d", "b", "...", "e"],
        ["a", "b", "c", "d", "c", "...", "c", "e"],
    ],
)
def test_disagrees(shown: list[str]) -> None:
    assert not agrees(shown, ACTUAL)


def test_refresh_keeps_what_was_left_out() -> None:
    shown = ["price 10.00 EUR", "...", "ring 1 PR1", "ring 2 PR2", "...", "the end"]
    actual = ["price 12.00 EUR", "x", "ring 1 PR1", "ring 2 PR9", "y", "z", "the end"]
    fresh = ["price 12.00 EUR", "...", "ring 1 PR1", "ring 2 PR9", "...", "the end"]
    assert refreshed(shown, actual) == fresh
    assert agrees(fresh, actual)


def test_refresh_takes_a_whole_output() -> None:
    assert refreshed(["old"], ["new", "lines"]) == ["new", "lines"]


def test_refresh_asks_for_a_hand() -> None:
    with pytest.raises(NoPlaceError):
        refreshed(["a", "...", "nothing like it"], ["a", "b", "0123456789"])


PAGE = """\
`shelf/part.txt`:

```
62.430
```

```console
$ cat shelf/part.txt
62.430
$ (exit 3)
$ echo $?
3
$ printf '%s\\n' \\
    two rows
two
rows
```

```python
print(6 * 7)
```

```text
41
```

In between.

```text
not an output
```
"""


def test_a_page_is_run(tmp_path: Path) -> None:
    shown = list(run_page(PAGE, tmp_path))
    assert [item.actual for item in shown] == [("62.430",), (), ("3",), ("two", "rows"), ("42",)]
    assert [agrees(item.expected, item.actual) for item in shown] == [True] * 4 + [False]


def test_output_without_a_command_is_refused() -> None:
    (block,) = blocks("```console\nlost line\n$ true\n```\n")
    with pytest.raises(ValueError, match="line 2: output without a command"):
        commands(block)


def test_a_traceback_is_never_an_output(tmp_path: Path) -> None:
    with pytest.raises(AssertionError, match="a traceback"):
        list(run_page('```console\n$ python -c "1 / 0"\n```\n', tmp_path))


def test_a_script_that_fails_is_reported(tmp_path: Path) -> None:
    with pytest.raises(AssertionError, match="the script failed"):
        list(run_page("```python\n1 / 0\n```\n", tmp_path))


def test_commands_without_output_must_not_be_refused(tmp_path: Path) -> None:
    with pytest.raises(AssertionError, match=r"'fitsolver pick none\.toml' was refused"):
        list(run_page("```\nfitsolver --version\nfitsolver pick none.toml\n```\n", tmp_path))
