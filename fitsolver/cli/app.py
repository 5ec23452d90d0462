"""The command line: its commands, and the handling of their errors."""

from __future__ import annotations

import errno
import re
import sys
from difflib import get_close_matches
from typing import Annotated, Any, Final, NoReturn

import typer
from typer.core import TyperGroup
from typer.models import TyperInfo

from fitsolver.base.errors import FitsolverError, InputError, meant, visible
from fitsolver.base.exit_codes import BAD_INPUT, BROKEN, DONE, INTERRUPTED
from fitsolver.base.version import __version__
from fitsolver.cli.allot import allot
from fitsolver.cli.alternatives import alternatives
from fitsolver.cli.arrived import arrived
from fitsolver.cli.book import book
from fitsolver.cli.bore import bore
from fitsolver.cli.budget import budget
from fitsolver.cli.catalogue import catalogue
from fitsolver.cli.counter import Sizes, counter
from fitsolver.cli.final import final
from fitsolver.cli.firm import firm
from fitsolver.cli.fits import fits
from fitsolver.cli.gauge import gauge
from fitsolver.cli.hone import hone
from fitsolver.cli.intake import intake
from fitsolver.cli.ladder import ladder
from fitsolver.cli.new import new
from fitsolver.cli.output import say, silence, unwritten
from fitsolver.cli.page import page
from fitsolver.cli.pair import pair
from fitsolver.cli.pick import pick
from fitsolver.cli.plan import plan
from fitsolver.cli.screen import screen
from fitsolver.cli.sheet import sheet
from fitsolver.cli.why import why

#: The exceptions of typer for a wrong use: its own class, or that of the click it contains.
_WrongUse: Any = next(c for c in typer.BadParameter.__mro__ if c.__name__ == "ClickException")


def _interrupted(error: BaseException) -> bool:
    """Tell whether Ctrl-C is what ended the loading of a library."""
    cause = error.__cause__ or error.__context__
    return isinstance(cause, KeyboardInterrupt) or (cause is not None and _interrupted(cause))


_NOT_ONE_OF: Final = re.compile(r"'(.+)' is not one of (.+?)\.?")


def _plain(message: str) -> str:
    """Return what an option refuses in plain words, with what may have been meant."""
    from fitsolver.reading.hints import unit_meant

    message = message.removeprefix("Value error, ")
    refused = _NOT_ONE_OF.fullmatch(message)
    if refused is None:
        return message
    word, allowed = refused[1].lower(), re.findall(r"'([^']+)'", refused[2])
    unit = unit_meant(word)
    near = [unit] if unit in allowed else get_close_matches(word, allowed, n=1)
    told = meant(near[0] if near and near[0] in allowed else None)
    return f"{message.removesuffix('.')}{told}."


class Commands(TyperGroup):
    """The commands; what goes wrong in one is a message and an exit code, never a traceback."""

    def invoke(self, ctx: Any) -> Any:
        try:
            return super().invoke(ctx)
        except InputError as error:
            _fail(str(error), BAD_INPUT)
        except FitsolverError as error:
            _fail(str(error), BROKEN)
        except (KeyboardInterrupt, typer.Abort):
            _fail("interrupted; nothing was written", INTERRUPTED)
        except ImportError as error:
            if not _interrupted(error):
                raise
            _fail("interrupted; nothing was written", INTERRUPTED)
        except _WrongUse as error:
            error.message = _plain(visible(error.message))
            raise


app = typer.Typer(
    name="fitsolver",
    cls=Commands,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Which piston, rings and gaskets, finished to which bore, with the least metal removed.",
    epilog="Example: fitsolver pick catalogs_demo/pump/job.toml. "
    "Exit codes: 0 plan or report, 2 bad input or usage, 3 nothing fits, 4 not proven in the "
    "time given. All sizes and all metal to remove are on diameter.",
)


def _version(wanted: bool) -> None:
    if wanted:
        say(f"fitsolver {__version__}")
        raise typer.Exit(DONE)


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    pass


#: Every command with its example, in the order of the help.
_COMMANDS: Final = (
    (pick, "pick catalogs_demo/pump/job.toml"),
    (bore, "bore catalogs_demo/pump/job.toml"),
    (fits, "fits catalogs_demo/brushsaw/job.toml"),
    (counter, "counter p62 62.31 --catalogue catalogs_demo/pump"),
    (catalogue, "catalogue catalogs_demo/pump"),
    (alternatives, "alternatives catalogs_demo/pump/job.toml"),
    (budget, "budget catalogs_demo/pump/job.toml"),
    (firm, "firm catalogs_demo/brushsaw/job.toml"),
    (final, "final catalogs_demo/brushsaw/finished.toml"),
    (arrived, "arrived job.toml --ordered answer.json"),
    (gauge, "gauge readings.csv --window 0.03"),
    (hone, "hone catalogs_demo/pump/job.toml"),
    (plan, "plan catalogs_demo/pump/job.toml"),
    (sheet, "sheet catalogs_demo/pump/job.toml --output sheet.html"),
    (page, "page --catalogue catalogs_demo/pump"),
    (ladder, "ladder catalogs_demo/launch/job.toml"),
    (screen, "screen bores.csv catalogue --like job.toml"),
    (pair, "pair bores.csv pieces.csv --low 0.044 --high 0.048"),
    (allot, "allot catalogs_demo/workshop"),
    (intake, "intake list.xlsx --into catalogue"),
    (why, "why catalogs_demo/pump/worn_out.toml"),
    (new, "new job.toml --cylinders 2 --clearance 0.05 0.08"),
)
for _command, _example in _COMMANDS:
    _class = Sizes if _command is counter else None
    app.command(cls=_class, epilog=f"Example: fitsolver {_example}")(_command)
app.add_typer(book)


def _fail(message: str, code: int) -> NoReturn:
    say(f"fitsolver: {message}", error=True)
    sys.exit(code)


def main() -> None:
    """Run the command line; bad input is one message and exit code 2, never a traceback."""
    try:
        app()
    except InputError as error:  # of options that answer by themselves, before any command
        _fail(str(error), BAD_INPUT)
    except OSError as error:
        if error.errno not in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO):
            raise
        silence()
        _fail(unwritten(error), BAD_INPUT)


def build_only(asked: list[str]) -> None:
    """Build only the command that is asked for; the other commands are lost.

    For a process that runs one command: reading all their options takes longer than the job.
    """
    found = [c for c in app.registered_commands if c.callback and [c.callback.__name__] == asked]
    groups = [group for group in app.registered_groups if [_name(group)] == asked]
    if found or groups:
        app.registered_commands, app.registered_groups = found, groups


def _name(group: TyperInfo) -> str | None:
    assert group.typer_instance is not None
    return group.typer_instance.info.name


if __name__ == "__main__":
    main()
