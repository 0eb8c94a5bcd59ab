"""brackets view: a part or a bay to look at, live in the browser, as one file to send, or as a picture."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from brackets.app.cli.screen import Bare
from brackets.app.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from brackets.app.preview.session import Session

ENDINGS = ("SIGINT", "SIGTERM", "SIGHUP")
"""Signals that end the live page: Ctrl-C, a stop from elsewhere, a terminal that is closed."""
LONGEST_LIMIT = 86_400.0
"""Seconds: a day."""


def view(
    words: Annotated[list[str], typer.Argument(metavar="RECIPE|BAY.toml [--NAME VALUE]", hidden=True)],
    html: Annotated[
        Path | None, typer.Option("--html", metavar="FILE", help="Write one page to send; offline.")
    ] = None,
    png: Annotated[
        Path | None, typer.Option("--png", metavar="FILE", help="Write a picture; needs no screen.")
    ] = None,
    views: Annotated[
        str,
        typer.Option("--from", metavar="VIEW,...", help="Picture: slant, front, rear, left, right, top, under."),
    ] = "slant",
    pixels: Annotated[str, typer.Option("--pixels", metavar="WxH", help="Picture: its size.")] = "1600x1000",
    cut: Annotated[
        str | None, typer.Option("--cut", metavar="x|y|z[=MM]", help="Picture: a section there.")
    ] = None,
    apart: Annotated[
        str, typer.Option("--pull-apart", metavar="PERCENT", help="Picture: pieces pulled apart.")
    ] = "0",
    fold: Annotated[
        str, typer.Option("--fold", metavar="PERCENT", help="Picture: folded so far; 0 is the flat blank.")
    ] = "100",
    gaps: Annotated[bool, typer.Option("--gaps", help="Picture: all gap lines, not the short ones alone.")] = False,
    no_axes: Annotated[
        bool, typer.Option("--no-axes", help="Picture: no centre lines, centres of mass, bend lines.")
    ] = False,
    dark: Annotated[bool, typer.Option("--dark", help="Picture: on a dark ground.")] = False,
    as_printed: Annotated[
        bool, typer.Option("--as-printed", help="Of a recipe: its mock-up on the printer's beds.")
    ] = False,
    time_limit: Annotated[
        str | None, typer.Option("--time-limit", metavar="SECONDS", help="How long a recipe may take.")
    ] = None,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Print the address, open nothing.")] = False,
    bare: Bare = "mm",
) -> int:
    """A part or bay to look at: live, as one page, or as a picture.

    Live in your browser, or --html FILE, or --png FILE. Every value of a recipe is
    an option, as with make. The page is served to this machine only, until Ctrl-C.
    Of a file or picture the status is 1 where something stops.
    """
    from brackets.app.cli.screen import one_word, split
    from brackets.core import units
    from brackets.core.errors import InputError, OutOfRange

    typed = split(words)
    if typed.problems:
        raise InputError(*typed.problems)
    target = one_word(typed, "recipe or bay", "brackets view ears")
    texts = {name.replace("-", "_"): text for name, text in typed.texts.items()}
    _refuse(target, texts, bare)
    if as_printed and target.endswith(".toml"):
        raise InputError(f"--as-printed = {target}, must be a recipe: of a bay brackets mockup writes a page")
    bad = [*_ending(html, "html", ".html", ".htm"), *_ending(png, "png", ".png")]
    if bad:
        raise InputError(*bad)
    limit = None if time_limit is None else units.number(time_limit, name="--time-limit")
    if limit is not None and not 0 < limit <= LONGEST_LIMIT:
        raise OutOfRange(
            f"--time-limit = {time_limit}, must be more than 0, to {LONGEST_LIMIT:g} s: how long a recipe may take"
        )
    if html is None and png is None:
        return _live(target, texts, bare=bare, limit=limit, open_it=not no_browser, printed=as_printed)

    from brackets.app.cli.screen import progress
    from brackets.app.preview.blocks import unpack
    from brackets.app.preview.build import source, whole
    from brackets.app.preview.fields import Refused
    from brackets.app.preview.shot import Shot
    from brackets.output.folder import replacing

    shot = Shot.of_texts(
        views=views,
        pixels=pixels,
        cut=cut,
        apart=apart,
        fold=fold,
        gaps=gaps,
        axes=not no_axes,
        dark=dark,
    )
    with progress() as say:
        say(f"{target}: building")
        try:
            block = whole(source(target, bare=bare, printed=as_printed), {"": texts} if texts else {})
        except Refused as refused:
            raise refused.as_input_error() from None
        if png is not None:  # first: where there is nothing to draw, nothing is written
            from brackets.app.preview.png import write

            say(f"{target}: drawing")
            with replacing(png) as new:
                write(block, new, shot)
        if html is not None:
            from brackets.app.preview.offline import page

            with replacing(html) as new:
                new.write_text(page(block), "utf-8")
    print("\n".join(str(path) for path in (html, png) if path is not None))
    header, _ = unpack(block)
    if header["stops"]:
        print(header["verdict"])
    return STOPS if header["stops"] else FINE


def _ending(path: Path | None, option: str, *endings: str) -> list[str]:
    """What is wrong with the name of a file to be written: it must say what is in it."""
    if path is None or path.suffix.lower() in endings or (path.exists() and not path.is_file()):
        return []
    return [f"--{option} = {path}, must end in {' or '.join(endings)}: no other kind is written"]


def _refuse(target: str, texts: dict[str, str], bare: str) -> None:
    """InputError for what the words alone show to be wrong, and for a recipe that cannot be opened."""
    from brackets.app.cli.on_target import refuse_bare
    from brackets.core.errors import InputError

    refuse_bare(bare)
    if target.endswith(".toml"):
        if texts:
            name = next(iter(texts))
            raise InputError(
                f"--{name} = {texts[name]}, must stand in the bay file or be tried in the page: a value"
            )
        if not Path(target).is_file():
            from brackets.core.errors import BadFile

            raise BadFile(target, "no such file: a bay file is TOML, see the README")
        return
    if not target.endswith(".py"):
        from brackets.library import recipe as recipe_file

        recipe_file.recipe(target)


def _live(
    target: str, texts: dict[str, str], *, bare: str, limit: float | None, open_it: bool, printed: bool
) -> int:
    import asyncio
    import contextlib
    import sys
    import webbrowser

    from brackets.app.preview.session import Session

    def ready(address: str) -> None:
        print(f"{target}: {address}\nCtrl-C ends it.", flush=True)
        if open_it:
            webbrowser.open(address)

    session = Session(target, bare=bare, limit=limit, typed=texts, printed=printed)
    number = asyncio.run(_until_a_signal(session, ready))
    with contextlib.suppress(OSError):  # the terminal may be gone
        wrote = f"what was kept stands in {session.name}" if session.wrote else "nothing written"
        print(f"stopped, {wrote}", file=sys.stderr, flush=True)
    return 128 + number


async def _until_a_signal(session: Session, ready: Callable[[str], None]) -> int:
    """Serves until Ctrl-C, SIGTERM or the end of the terminal; the signal's number. The process that builds is
    started first: it has the solid kernel to load, and the server itself does without."""
    import asyncio
    import contextlib
    import signal

    loop = asyncio.get_running_loop()
    stop: asyncio.Future[int] = loop.create_future()

    def came(number: int) -> None:
        if not stop.done():
            stop.set_result(number)

    signal.signal(signal.SIGINT, signal.default_int_handler)
    for name in ENDINGS:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
            with contextlib.suppress(NotImplementedError):  # Windows: KeyboardInterrupt ends it
                loop.add_signal_handler(number, came, int(number))
    await session.build()
    from brackets.app.preview.server import serve

    serving = asyncio.create_task(serve(session, ready))
    ends: set[asyncio.Future[Any]] = {serving, stop}
    await asyncio.wait(ends, return_when=asyncio.FIRST_COMPLETED)
    serving.cancel()
    with contextlib.suppress(asyncio.CancelledError):
        await serving
    return await stop
