"""The command `page`: the page on the bench tablet, and the JSON API."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitsolver.base.errors import InputError
from fitsolver.cli.options import path_option
from fitsolver.cli.output import say
from fitsolver.reading.hints import shown

if TYPE_CHECKING:
    from fitsolver.page.settings import Settings


def page(  # noqa: PLR0913, PLR0917
    catalogues: Annotated[
        list[Path] | None,
        path_option(
            "--catalogue",
            "-c",
            metavar="FOLDER",
            says="A catalogue folder to choose from, beside the demos; may be given again.",
        ),
    ] = None,
    data: Annotated[
        Path | None,
        path_option(
            "--data",
            metavar="FOLDER",
            says="Where jobs and uploads are kept; else the user's data folder.",
        ),
    ] = None,
    book: Annotated[
        str | None,
        typer.Option("--book", metavar="BOOK", help="The book to show and add to: file or URL."),
    ] = None,
    host: Annotated[
        str, typer.Option("--host", metavar="ADDRESS", help="Address to listen on.")
    ] = "127.0.0.1",
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, metavar="COUNT", help="0 = a free one.")
    ] = 8750,
    names: Annotated[
        list[str] | None,
        typer.Option("--name", metavar="NAME", help="A name browsers call it by; again for more."),
    ] = None,
    token: Annotated[
        str | None,
        typer.Option(
            "--token",
            envvar="FITSOLVER_TOKEN",
            metavar="TEXT",
            help="Asked of every visitor; needed on any address but this machine's own.",
        ),
    ] = None,
    seconds: Annotated[
        float,
        typer.Option("--seconds", min=1, max=3600, metavar="COUNT", help="Time for one question."),
    ] = 30.0,
    workers: Annotated[
        int,
        typer.Option(
            "--workers", min=1, max=64, metavar="COUNT", help="Questions worked on at once."
        ),
    ] = 2,
    browser: Annotated[
        bool,
        typer.Option("--browser/--no-browser", help="Open it in the browser (on a terminal)."),
    ] = True,
    change_catalogues: Annotated[
        bool,
        typer.Option("--change-catalogues", help="Those given may be corrected there."),
    ] = False,
    shortcut: Annotated[
        bool,
        typer.Option("--shortcut", help="Only write an entry that starts it from the desktop."),
    ] = False,
) -> None:
    """Serve the page and the JSON API until Ctrl-C."""
    from fitsolver.page.settings import Settings, default_data

    if shortcut:
        _write_shortcut(catalogues or [], data, book, port)
        return

    try:
        from fitsolver.page.app import create_app
        from fitsolver.page.serve import serve
    except ModuleNotFoundError as error:
        raise InputError(
            f"the page needs what is not installed ({error.name})",
            allowed='pip install "fitsolver[page]"',
        ) from error
    settings = Settings(
        data=data or default_data(),
        catalogues={**_by_name(catalogues or []), **_demos(catalogues or [])},
        host=host,
        port=port,
        token=token,
        names=tuple(names or ()),
        book=book,
        seconds=seconds,
        workers=workers,
        change_catalogues=change_catalogues,
    )
    app = create_app(settings)
    serve(app, settings, lambda line: say(line, error=True), _opening(settings, browser))


def _opening(settings: Settings, wanted: bool) -> Callable[[str], None]:
    """Return what to do with the address: open it where somebody sits who can see it."""
    from fitsolver.page.starting import may_open_browser

    if not (wanted and may_open_browser(settings)):
        return lambda _: None
    known = "" if settings.token is None else f"?token={settings.token}"

    def opening(address: str) -> None:
        typer.launch(address + known)

    return opening


def _write_shortcut(catalogues: list[Path], data: Path | None, book: str | None, port: int) -> None:
    """Write an entry for the desktop that starts the page with the same folders."""
    from fitsolver.page.starting import write_shortcut

    given = [word for folder in catalogues for word in ("--catalogue", str(folder.resolve()))]
    given += [] if data is None else ["--data", str(data.resolve())]
    given += (
        [] if book is None else ["--book", book if "://" in book else str(Path(book).resolve())]
    )
    say(f"{write_shortcut([*given, '--port', str(port)])}: written; it starts the page")


def _demos(folders: list[Path]) -> dict[str, Path]:
    """Return the demonstration catalogues, but for names that are given."""
    from fitsolver.base.demos import demo_folders

    given = {folder.resolve().name for folder in folders}
    return {name: folder for name, folder in demo_folders().items() if name not in given}


def _by_name(folders: list[Path]) -> dict[str, Path]:
    """Return catalogue folders by their own names."""
    found: dict[str, Path] = {}
    for folder in folders:
        name = folder.resolve().name
        if name in found:
            raise InputError(
                "two catalogue folders have one name",
                found=shown(name),
                allowed="folders of different names: the page knows a catalogue by its folder's",
            )
        found[name] = folder
    return found
