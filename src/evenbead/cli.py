"""The commands. Each parses what was typed, calls one function, and renders; heavy imports wait inside.

Exit status: 0 done; 1 a check says stop and `--strict` was given; 2 the input was refused and nothing was written.
"""

from __future__ import annotations

import codecs
import io
import os
import sys
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from evenbead.errors import EvenbeadError, InputRefused

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from rich.console import Console

app = typer.Typer(
    name="evenbead",
    help="Plans the day of the continuous mixing station behind a mortar-printing nozzle.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

Units = Annotated[Literal["metric", "us"], typer.Option("--units", help="Units of what is shown.")]
Charted = Annotated[Path | None, typer.Option("--chart", help="Draw it into this file (.svg, .png or .pdf).")]


@app.command()
def plan(  # noqa: PLR0917  (the command line's own names)
    job: Annotated[Path, typer.Argument(help="The job, a TOML file.", show_default=False)],
    units: Units = "metric",
    json: Annotated[bool, typer.Option("--json", help="Print the plan for scripts instead of the report.")] = False,  # noqa: FBT002
    csv: Annotated[Path | None, typer.Option("--csv", help="Write the layers as columns into this file.")] = None,
    card: Annotated[Path | None, typer.Option("--card", help="Write the card for the machine (.pdf).")] = None,
    paper: Annotated[
        Literal["a5", "half-letter"] | None,
        typer.Option("--paper", help="Paper of the card; by the units unless given."),
    ] = None,
    chart: Annotated[
        Path | None, typer.Option("--chart", help="Draw litres against time (.svg, .png or .pdf).")
    ] = None,
    strict: Annotated[bool, typer.Option("--strict", help="Exit with status 1 when a check says stop.")] = False,  # noqa: FBT002
) -> None:
    """Plan a print day.

    Settings, settling times, materials, layers and checks, from a job, its station, its mortar and its toolpath.
    """
    from datetime import UTC, datetime

    from evenbead.documents import read_case
    from evenbead.plan import as_contract, plan_day
    from evenbead.report import files, terminal
    from evenbead.toolpath.reading import toolpath_for

    outputs = files.planned(csv=csv, card=card, chart=chart)
    case = read_case(job)
    files.require_apart(outputs, case.files)
    with _progress(f"Reading {case.toolpath.name}") as told:
        toolpath = toolpath_for(case.toolpath, case.job, progress=told)
    made_at = datetime.now(UTC).astimezone()  # noqa: TID251  (the one place where the clock is read)
    made = plan_day(case, toolpath, made_at=made_at, system=units)
    files.write_plan(made, outputs, system=units, paper=paper or ("a5" if units == "metric" else "half-letter"))
    if json:
        _print_json(as_contract(made))
    else:
        terminal.print_plan(made, _console(), units)
    if strict and any(check.verdict == "stop" for check in made.checks):
        raise typer.Exit(1)


@app.command()
def risk(  # noqa: PLR0917
    job: Annotated[Path, typer.Argument(help="The job, a TOML file.", show_default=False)],
    draws: Annotated[int, typer.Option("--draws", min=256, max=1_000_000, help="How many days to draw.")] = 10_000,
    seed: Annotated[int, typer.Option("--seed", min=0, max=2**31, help="The same seed draws the same days.")] = 1,
    wanted: Annotated[
        float, typer.Option("--wanted", min=0.0001, max=0.5, help="Wanted probability of each failure, at most.")
    ] = 0.05,
    json: Annotated[bool, typer.Option("--json", help="Print the study for scripts instead.")] = False,  # noqa: FBT002
    window: Annotated[
        Path | None, typer.Option("--window", help="Draw the workable window (.svg, .png or .pdf).")
    ] = None,
    worth: Annotated[
        Path | None, typer.Option("--worth", help="Draw what measurements would tell (.svg, .png or .pdf).")
    ] = None,
) -> None:
    """Draw thousands of days: what could go wrong.

    The probability of each failure, the measurement that would tell most, the workable window, the fastest pace.
    """
    from datetime import UTC, datetime

    from evenbead.documents import read_case
    from evenbead.report import files
    from evenbead.report import risk as report
    from evenbead.toolpath.reading import toolpath_for

    case = read_case(job)
    files.require_pictures((window, worth), case.files)
    with _progress(f"Reading {case.toolpath.name}") as told:
        toolpath = toolpath_for(case.toolpath, case.job, progress=told)
    made_at = datetime.now(UTC).astimezone()  # noqa: TID251  (the clock is read in commands only)
    made = report.study(case, toolpath, draws=draws, seed=seed, wanted=wanted, made_at=made_at)
    report.draw(made, window=window, worth=worth)
    if json:
        _print_json(report.as_contract(made))
    else:
        report.print_study(made, _console())


@app.command()
def catch(
    file: Annotated[Path, typer.Argument(help="A station (TOML), or a list of catches (CSV).", show_default=False)],
    channel: Annotated[
        Literal["water", "powder", "accelerator"] | None, typer.Option(help="Which channel of a station.")
    ] = None,
    at: Annotated[str | None, typer.Option(help='Speed the channel is to run at, such as "150 rpm".')] = None,
    units: Units = "metric",
    chart: Charted = None,
) -> None:
    """Fit the catches of a metered channel.

    The line through them, its doubt, and where the next catch helps most.
    """
    from evenbead.report import catches, files

    files.require_picture(chart, file)
    made = catches.study(file, channel=channel, at=at)
    if chart:
        catches.draw(made, chart, units)
    catches.print_study(made, _console(), units)


@app.command()
def toolpath(  # noqa: PLR0917
    file: Annotated[
        Path, typer.Argument(help="Machine code, drawing (.dxf) or list of points (.csv).", show_default=False)
    ],
    when: Annotated[
        str | None, typer.Option(help='When the bead is on: "extruding", "feed moves" or a pair such as "M7,M9".')
    ] = None,
    layer_height: Annotated[str | None, typer.Option(help='Height of a layer, such as "15 mm".')] = None,
    bead_width: Annotated[str | None, typer.Option(help='Width of the bead, such as "45 mm".')] = None,
    layers: Annotated[int | None, typer.Option(min=1, max=100_000, help="How often a drawing is repeated.")] = None,
    unit: Annotated[
        Literal["mm", "cm", "m", "in", "ft"] | None, typer.Option("--unit", help="Unit of a drawing that states none.")
    ] = None,
    units: Units = "metric",
    chart: Charted = None,
) -> None:
    """Describe a toolpath and draw it.

    Lengths, layers, when the bead is on and why; the drawing is seen from above.
    """
    from evenbead.report import files, paths

    files.require_picture(chart, file)
    with _progress(f"Reading {file.name}") as told:
        made = paths.study(
            file,
            when=when,
            layer_height=layer_height,
            bead_width=bead_width,
            layers=layers,
            unit=unit,
            progress=told,
        )
    if chart:
        paths.draw(made, chart, units)
    paths.print_study(made, _console(), units)


@app.command()
def document(
    file: Annotated[Path, typer.Argument(help="A station, mortar or job (TOML).", show_default=False)],
    units: Units = "metric",
    out: Annotated[Path | None, typer.Option("--out", help="Write it into this file instead of printing it.")] = None,
) -> None:
    """Check a document, and write it in one unit system."""
    from evenbead.documents import document_text, read_any
    from evenbead.report import files
    from evenbead.report.picture import write_together

    files.require(out, (".toml",))
    text = document_text(read_any(file), units)
    if out:
        write_together({out: text.encode()})
    else:
        _print_whole(text)


@app.callback(invoke_without_command=True)
def _main(
    version: Annotated[bool, typer.Option("--version", help="Say which version this is.")] = False,  # noqa: FBT002
) -> None:
    if version:
        from evenbead import __version__

        typer.echo(f"evenbead {__version__}")
        raise typer.Exit


def run() -> None:
    """The entry point: every refusal becomes one line for each fault, and status 2."""
    codecs.register_error("plainly", _plainly)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="plainly")
    try:
        try:
            app()
        finally:
            sys.stdout.flush()  # a reader that has gone, or a full disk, shows here and not at the very end
    except EvenbeadError as refused:
        faults = refused.faults if isinstance(refused, InputRefused) else (refused,)
        sys.stderr.write("".join(f"{fault}\n" for fault in faults))
        sys.exit(2)
    except BrokenPipeError:
        _leave_quietly()
    except OSError as error:
        sys.stderr.write(f"the output can't be written: {error.strerror or type(error).__name__}\n")
        _leave_quietly(2)


_PLAIN = {"✓": "+", "×": "x", "±": "+/-", "²": "^2", "³": "^3", "·": "*", "°": "deg ", "…": "..."}  # noqa: RUF001


def _plainly(error: UnicodeError) -> tuple[str, int]:
    """What a terminal without a sign gets in its place: never another sign that means something else here."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(_PLAIN.get(sign, "_") for sign in error.object[error.start : error.end]), error.end


def _leave_quietly(status: int = 0) -> None:
    """Leave without a second complaint about what is still to be written when Python ends."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    sys.exit(status)


def _print_json(contract: object) -> None:
    import json

    # Other encodings than UTF-8 would lose letters: then JSON's own escapes stand for them.
    in_full = (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"
    _print_whole(json.dumps(contract, indent=2, ensure_ascii=not in_full, allow_nan=False) + "\n")


def _print_whole(text: str) -> None:
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:  # here, because the command line's own answer to it is the status of a stop
        _leave_quietly()


def _console() -> Console:
    from rich.console import Console

    class Terminal(Console):
        def on_broken_pipe(self) -> None:  # such as after `| head`: nobody is left to tell
            _leave_quietly()

    return Terminal(highlight=False, soft_wrap=False)


@contextmanager
def _progress(words: str) -> Iterator[Callable[[int, int], None] | None]:
    """Shows progress on standard error while a long file is read, if someone is looking."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(words, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)
