"""The command line: reads arguments, calls the service, shows what it answers."""

from __future__ import annotations

import errno
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer
from typer.core import TyperGroup
from typer.models import TyperInfo

from fitsolver import __version__
from fitsolver.base.errors import FitsolverError, InputError, visible
from fitsolver.base.exit_codes import BAD_INPUT, BROKEN, DONE, INTERRUPTED, NOTHING_FITS, code_of
from fitsolver.cli.allot import allot
from fitsolver.cli.alternatives import alternatives
from fitsolver.cli.bench import arrived, final
from fitsolver.cli.book import book
from fitsolver.cli.firm import firm
from fitsolver.cli.hone import hone
from fitsolver.cli.ladder import ladder
from fitsolver.cli.measuring import budget, gauge
from fitsolver.cli.new import new
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    TimeLimitOption,
    UnitOption,
)
from fitsolver.cli.output import (
    UnitChoice,
    deliver,
    may_write,
    progress,
    say,
    show,
    silence,
    unit_of,
    unwritten,
    write,
    write_json,
)
from fitsolver.cli.page import page
from fitsolver.cli.pair import pair
from fitsolver.cli.plan import plan
from fitsolver.cli.plotting import PlotOption, may_plot, write_plot
from fitsolver.cli.screen import screen
from fitsolver.cli.sheet import sheet
from fitsolver.cli.why import why

if TYPE_CHECKING:
    from fitsolver.base.lengths import Unit
    from fitsolver.plots import Drawing
    from fitsolver.records.plan import Answer
    from fitsolver.records.verdicts import FitsAnswer


#: What typer raises for a wrong use: its own class, or that of the click it was made with.
_WrongUse: Any = next(c for c in typer.BadParameter.__mro__ if c.__name__ == "ClickException")


def _interrupted(error: BaseException) -> bool:
    """Tell whether Ctrl-C is what ended the loading of a library."""
    cause = error.__cause__ or error.__context__
    return isinstance(cause, KeyboardInterrupt) or (cause is not None and _interrupted(cause))


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
            error.message = visible(error.message)
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
    "time given. All sizes, removal and stock are on diameter.",
)

ReviewUnitOption = Annotated[
    UnitChoice | None,
    typer.Option("--unit", "-u", help="Unit of the report; else the catalogue's."),
]


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


@app.command(epilog="Example: fitsolver pick catalogs_demo/pump/job.toml")
def pick(  # noqa: PLR0913, PLR0917
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    csv: Annotated[bool, typer.Option("--csv", help="Write the order list as CSV.")] = False,
    output: OutputOption = None,
    plot: PlotOption = None,
    time_limit: TimeLimitOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Pick parts and finish size, and prove the choice."""
    from fitsolver.usecases import files as service

    if json and csv:
        raise typer.BadParameter("--json and --csv exclude each other")
    may_write(output)
    may_plot(plot, output)
    with progress() as tell:
        answer = service.pick(
            job,
            catalogue,
            accept=accept or (),
            accept_outliers=accept_outliers,
            time_limit=time_limit,
            progress=tell,
        )
    write_plot(plot, lambda to: _fits_drawn(to, answer, unit_of(unit)))
    if json:
        write_json(answer, output)
    elif csv:
        _write_order(answer, output, unit_of(unit))
    else:
        from fitsolver.reporting.terminal import render_answer

        show(render_answer(answer, unit_of(unit)), output)
    raise typer.Exit(code_of(answer.status))


def _fits_drawn(plots: Any, answer: Answer, unit: Unit | None) -> Drawing | None:
    if answer.plan is None:
        return None
    drawing: Drawing = plots.fit_bars(answer.plan, unit or answer.unit, answer.job)
    return drawing


def _write_order(answer: Answer, output: Path | None, unit: Unit | None) -> None:
    """Write the order list; without a plan write nothing, and say why on standard error."""
    from fitsolver.reporting.order_csv import order_csv
    from fitsolver.reporting.terminal import render_answer

    if answer.plan is None:
        show(render_answer(answer, unit), error=True)
    else:
        write(order_csv(answer.plan), output)


@app.command(epilog="Example: fitsolver bore catalogs_demo/pump/job.toml")
def bore(
    job: JobFile,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    plot: PlotOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Show the form of the measured bores."""
    from fitsolver.usecases import files as service

    may_write(output)
    may_plot(plot, output)
    answer = service.bore(job, accept=accept or (), accept_outliers=accept_outliers)
    write_plot(
        plot,
        lambda _: service.draw_bores(
            job, unit=unit_of(unit), accept=accept or (), accept_outliers=accept_outliers
        ),
    )
    deliver(
        answer,
        lambda to: to.render_forms(
            answer.forms,
            unit_of(unit) or answer.unit,
            answer.cautions,
            title=answer.job,
            corrections=answer.corrections,
        ),
        json=json,
        output=output,
    )


@app.command(epilog="Example: fitsolver fits catalogs_demo/brushsaw/job.toml")
def fits(
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    first: Annotated[
        int,
        typer.Option("--first", min=0, metavar="COUNT", help="Sets shown a cylinder; 0 = all."),
    ] = 10,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Show which part sets fit the bores as they are."""
    from fitsolver.usecases import files as service

    may_write(output)
    answer = service.part_sets(job, catalogue, accept=accept or (), accept_outliers=accept_outliers)
    deliver(
        answer,
        lambda to: to.render_fits(answer, unit_of(unit), first or None),
        json=json,
        output=output,
    )
    raise typer.Exit(DONE if _each_has_a_set(answer) else NOTHING_FITS)


def _each_has_a_set(answer: FitsAnswer) -> bool:
    """Tell whether every cylinder has a part set that fits."""
    cylinders = {item.cylinder for item in answer.sets}
    return bool(cylinders) and cylinders == {i.cylinder for i in answer.sets if i.holds}


@app.command(epilog="Example: fitsolver catalogue catalogs_demo/pump")
def catalogue(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", readable=False, help="Catalogue folder.")
    ],
    unit: ReviewUnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
) -> None:
    """Check a catalogue: size steps, doubtful entries."""
    from fitsolver.usecases import files as service

    may_write(output)
    review = service.review_catalogue(folder)
    deliver(
        review,
        lambda to: to.render_review(review, unit_of(unit) or review.unit),
        json=json,
        output=output,
    )


app.command(epilog="Example: fitsolver alternatives catalogs_demo/pump/job.toml")(alternatives)
app.command(epilog="Example: fitsolver budget catalogs_demo/pump/job.toml")(budget)
app.command(epilog="Example: fitsolver firm catalogs_demo/brushsaw/job.toml")(firm)
app.command(epilog="Example: fitsolver final catalogs_demo/brushsaw/finished.toml")(final)
app.command(epilog="Example: fitsolver arrived job.toml --ordered answer.json")(arrived)
app.command(epilog="Example: fitsolver gauge readings.csv --window 0.03")(gauge)
app.command(epilog="Example: fitsolver hone catalogs_demo/pump/job.toml")(hone)
app.command(epilog="Example: fitsolver plan catalogs_demo/pump/job.toml")(plan)
app.command(epilog="Example: fitsolver sheet catalogs_demo/pump/job.toml --output sheet.html")(
    sheet
)
app.command(epilog="Example: fitsolver page --catalogue catalogs_demo/pump")(page)
app.command(epilog="Example: fitsolver ladder catalogs_demo/launch/job.toml")(ladder)
app.command(epilog="Example: fitsolver screen bores.csv catalogue --like job.toml")(screen)
app.command(epilog="Example: fitsolver pair bores.csv pieces.csv --low 0.044 --high 0.048")(pair)
app.command(epilog="Example: fitsolver allot catalogs_demo/workshop")(allot)
app.command(epilog="Example: fitsolver why catalogs_demo/pump/worn_out.toml")(why)
app.command(epilog="Example: fitsolver new job.toml --cylinders 2 --clearance 0.05 0.08")(new)
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
    """Leave out the other commands, for good, when one is asked for.

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
