"""Where the command line's output goes: screen, pipe or a new file; and the progress line."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from enum import StrEnum
from io import StringIO, TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TextIO

from fitsolver.base.errors import InputError, visible
from fitsolver.base.new_file import check_new, write_new

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderableType, RenderResult

    from fitsolver.base.deadline import Progress
    from fitsolver.base.lengths import Unit
    from fitsolver.records.base import Record

#: Columns of a report that is written to a file.
_FILE_WIDTH: Final = 100
#: Line breaks, which are our own where a text of several lines is printed.
_BREAKS: Final = "\n"
#: Columns of a screen that tells none.
_SCREEN_WIDTH: Final = 80


class UnitChoice(StrEnum):
    """Units that a report can be shown in."""

    mm = "mm"
    um = "um"
    inch = "in"
    thou = "thou"


def write(text: str, output: Path | None) -> None:
    """Write a document as UTF-8, to standard output or to a new file."""
    if output is not None:
        write_new(output, text)
        return
    if isinstance(sys.stdout, TextIOWrapper):
        if sys.stdout.isatty():  # a pipe or a file gets the document as it is
            text = visible(text, "\n\r\t")
        sys.stdout.reconfigure(encoding="utf-8", newline="")
    with _open_ended():
        if sys.stdout is not None:
            sys.stdout.write(text)


def say(text: str, *, error: bool = False) -> None:
    """Print a line to the screen (`error`: to standard error), nothing in it but what prints.

    Raises InputError where standard output cannot be written.
    """
    stream = sys.stderr if error else sys.stdout
    if stream is None:
        return
    _forgive(stream)
    line = f"{visible(text, _BREAKS)}\n"
    if error:
        with suppress(OSError):  # nobody is there to be told
            stream.write(line)
            stream.flush()
        return
    with _open_ended():
        stream.write(line)


def write_json(record: Record, output: Path | None) -> None:
    """Write a record as its JSON document."""
    from fitsolver.reporting.schema import to_json

    write(to_json(record), output)


def may_write(output: Path | None) -> None:
    """Refuse before any work is done: nothing is ever overwritten."""
    if output is not None:
        check_new(output)


def deliver(
    answer: Any, unit: UnitChoice | None = None, *, json: bool, output: Path | None, **shown: Any
) -> None:
    """Write an answer as its document, or show the report of it.

    The report is in `unit`, else the answer's own; `shown` is what its view takes beside.
    """
    if json:
        write_json(answer, output)
        return
    from fitsolver.verbs.report import report

    show(report(answer, unit_of(unit), **shown), output)


def unit_of(unit: UnitChoice | None) -> Unit | None:
    """Return the unit that was asked for; None = that of the file."""
    return None if unit is None else unit.value


def show(report: RenderableType, output: Path | None = None, *, error: bool = False) -> None:
    """Print a report to the screen (`error`: to standard error), or as plain text to a new file."""
    from rich.console import Console

    class Screen(Console):
        def on_broken_pipe(self) -> None:  # instead of leaving with an exit code of its own
            raise BrokenPipeError

    if output is not None:
        text = StringIO()
        Console(file=text, width=_FILE_WIDTH, no_color=True).print(_Clean(report))
        write_new(output, text.getvalue())
        return
    stream = sys.stderr if error else sys.stdout
    if stream is None:
        return
    _forgive(stream)
    with _open_ended():
        screen = Screen(stderr=error)
        screen.width = screen.width or _SCREEN_WIDTH
        screen.print(_Clean(report))


class _Clean:
    """A report with a dot for every unprintable character, so that its columns stay aligned."""

    def __init__(self, report: RenderableType) -> None:
        self._report = report

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        from rich.segment import Segment

        for part in console.render(self._report, options):
            text = part.text
            if part.control or text.isprintable():
                yield part
            else:
                clean = "".join(c if c.isprintable() or c in _BREAKS else "·" for c in text)
                yield Segment(clean, part.style)


def _forgive(stream: TextIO) -> None:
    """Replace signs that the screen cannot show."""
    if isinstance(stream, TextIOWrapper):
        stream.reconfigure(errors="replace")


@contextmanager
def _open_ended() -> Iterator[None]:
    """Flush the output; a reader that closes the pipe early is no error."""
    try:
        yield
        if sys.stdout is not None:
            sys.stdout.flush()
    except BrokenPipeError:
        silence()
    except OSError as error:
        silence()
        raise InputError(unwritten(error)) from error


def unwritten(error: OSError) -> str:
    """Return the message for an output that cannot be written."""
    return f"the output cannot be written ({error.strerror or error})"


def silence() -> None:
    """Send what is still buffered to nowhere, so that leaving does not fail over it again."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)


@contextmanager
def tidy_when_ended() -> Iterator[None]:
    """Let SIGTERM end the run as Ctrl-C does: unfinished changes are undone first."""

    def ended(number: int, _: object) -> None:
        raise SystemExit(128 + number)

    before = signal.signal(signal.SIGTERM, ended)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


@contextmanager
def ended_as_by_ctrl_c() -> Iterator[None]:
    """Let SIGTERM act as Ctrl-C; before there is a result to show, it ends the process.

    Where Ctrl-C is ignored it does that at once; where it has a handler, that stays.
    """
    own = signal.getsignal(signal.SIGTERM) != signal.SIG_DFL
    if own or not callable(signal.getsignal(signal.SIGINT)):
        yield
        return
    came: list[int] = []

    def ended(number: int, _: object) -> None:
        came.append(number)
        signal.raise_signal(signal.SIGINT)

    signal.signal(signal.SIGTERM, ended)
    try:
        yield
    except KeyboardInterrupt:
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        if came:
            signal.raise_signal(signal.SIGTERM)
        raise
    finally:
        signal.signal(signal.SIGTERM, signal.SIG_DFL)


@contextmanager
def progress() -> Iterator[Progress | None]:
    """Show the progress on a terminal's standard error; elsewhere stay silent."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console

    with Console(stderr=True).status("reading") as status:
        from rich.text import Text  # a name may look like markup

        yield lambda what, gone: status.update(Text(visible(f"settling {what} ({gone:.0f} s)")))
