"""Price, settle, sum up, check, review and fit the works of a CSV, from the command line.

    python demo_clients/scripts/evenhang_scripts.py price demo_clients/scripts/alder-lane.csv --member alder-lane
    python demo_clients/scripts/evenhang_scripts.py check works.csv --mend raise-only > findings.csv
    python demo_clients/scripts/evenhang_scripts.py columns

It shows tables on a terminal and writes CSV into a pipe; needs httpx, click and rich, and a service (`evenhang serve`), whose key it
takes from EVENHANG_KEY. Exit status: 0 fine, 1 findings or rows left out, 2 not asked rightly, 3 the service is away, 130 stopped.
"""

import functools
import itertools
import os
import signal
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any, BinaryIO

import click
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

import jobs
from asking import Asking, Away, Declined, NotLetIn, is_address
from cells import BadCell, figure
from found import Found
from showing import say
from works_csv import COLUMNS, BadFile, Row, Works, read_works
from writing import check_targets, mended_csv, write, write_file

OPTIONS = [
    click.argument("file", type=click.File("rb")),
    click.option("--member", help="Whose works these are, where the file has no column `member`."),
    click.option("--service", envvar="EVENHANG_SERVICE", default="http://127.0.0.1:8317", show_default=True, help="Where the service is."),
    click.option("--as-of", type=click.DateTime(["%Y-%m-%d"]), help="The day whose rules hold; today unless given."),
    click.option("--csv", "form", flag_value="csv", help="CSV, also on a terminal."),
    click.option("--json", "form", flag_value="json", help="JSON: tables, whole answers, what was left out."),
    click.option("--table", help="Which table goes into the CSV; the first unless given."),
    click.option("--bom", is_flag=True, help="Begin the CSV with a byte order mark, by which some spreadsheets know UTF-8."),
    click.option("--decimal-comma", is_flag=True, help="Figures have decimal commas, in what is read and in the CSV that is written."),
    click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Write to this file, whole or not at all."),
    click.option("--patience", type=click.FloatRange(0, 3600), default=60, show_default=True, help="Seconds to wait for a busy service."),
]
STOPPED = 130  # the status of what Ctrl-C ends, as shells have it
Run = Callable[..., Found]


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
def main() -> None:
    """Prices and checks for the works of a CSV. `columns` says what its columns are called."""


@main.command()
def columns() -> None:
    """The columns that a CSV of works may have."""
    for name, (meaning, example) in COLUMNS.items():
        click.echo(f"{name:<18}{meaning}, such as {example}")


def job(run: Run, *more: Callable[[Any], Any]) -> Callable[[Callable[..., dict[str, Any]]], click.Command]:
    """A command that runs a job: what it decorates turns the options of its own into the question's fields."""

    def made(fields: Callable[..., dict[str, Any]]) -> click.Command:
        @functools.wraps(fields)
        def command(**given: Any) -> None:
            common = {name: given.pop(name) for name in COMMON}
            mended = given.pop("write_mended", None)
            given.update({name: _figure(name, given[name], common["decimal_comma"]) for name in FIGURES if given.get(name)})
            _answer(run, lambda: fields(**given), mended=mended, rungs=given.get("rungs"), **common)

        for option in reversed((*OPTIONS, *more)):
            command = option(command)
        return main.command(fields.__name__)(command)

    return made


FIGURES = ("income", "tolerance_percent", "share_percent")
COMMON = ("file", "member", "service", "as_of", "form", "table", "bom", "decimal_comma", "out", "patience")


@job(jobs.price_works, click.option("--mine", is_flag=True, help="Also what is left where least is; needs a key with the scope books."))
def price(mine: bool) -> dict[str, Any]:
    """Price every work."""
    return {"mine": mine}


@job(jobs.settle_sales)
def settle() -> dict[str, Any]:
    """What every price leaves in its outlet, with its discount."""
    return {}


@job(
    jobs.sum_season,
    click.option("--income", help="The year's income wanted, such as 18000.00."),
    click.option("--currency", default="EUR", show_default=True, help="Of that income."),
    click.option("--rungs", type=click.File("rb"), help="CSV of price points: id, price, costs, hours, number in each round."),
)
def season(income: str | None, currency: str, rungs: BinaryIO | None) -> dict[str, Any]:
    """What sold works brought: per work, outlet, medium and year."""
    return {"income_wanted": {"amount": income, "currency": currency}} if income else {}  # `rungs` is read beside the works


@job(
    jobs.check_works,
    click.option("--mend", multiple=True, type=click.Choice(["raise-only", "least-change"]), help="A mended list along with it."),
    click.option("--tolerance-percent", help="How far from its rule a price may be; 1 unless given."),
    click.option("--write-mended", type=click.Path(dir_okay=False, path_type=Path), help="The whole CSV again, with the mended prices."),
)
def check(mend: tuple[str, ...], tolerance_percent: str | None) -> dict[str, Any]:
    """What in a catalogue does not hang together."""
    return {**({"mend": mend} if mend else {}), **({"tolerance_percent": tolerance_percent} if tolerance_percent else {})}


@job(
    jobs.review_works,
    click.option("--years", type=click.IntRange(0, 30), default=5, show_default=True, help="How many years ahead."),
)
def review(years: int) -> dict[str, Any]:
    """The yearly review: the list against the rules of --as-of, never lower than listed."""
    return {"years": years}


@job(jobs.fit_feel, click.option("--share-percent", help="How many of the works should reach the hourly target; 80 unless given."))
def feel(share_percent: str | None) -> dict[str, Any]:
    """The rule behind past prices, and the rate that an hour needs."""
    return {"share_percent": share_percent} if share_percent else {}


def _answer(run: Run, fields: Callable[[], dict[str, Any]], *, mended: Path | None, rungs: BinaryIO | None, **given: Any) -> None:
    """Read, ask, write, and end with the status that says how it went."""
    if not is_address(given["service"]):
        raise click.UsageError(f'"{given["service"]}" is no address of a service; one looks like http://127.0.0.1:8317')
    key = os.environ.get("EVENHANG_KEY", "").strip()
    if not (key.isascii() and key.isprintable()):
        raise click.UsageError("EVENHANG_KEY holds a sign that no header can carry, such as a line end or an accent; copy it again.")
    if rungs and os.path.sameopenfile(rungs.fileno(), given["file"].fileno()):
        raise click.UsageError("FILE and --rungs are the same; the works are in one file, the price points in another.")
    check_targets([given["file"], rungs], {"--out": given["out"], "--write-mended": mended})
    works, question = _read(given["file"], given), fields()
    left_out = list(works.left_out)
    if mended and len(question.get("mend", ())) != 1:
        raise click.UsageError("--write-mended needs --mend, once.")
    if rungs:
        points = _read(rungs, given)
        question["rungs"] = points.rows
        left_out += [jobs.of_a_rung(one) for one in points.left_out]
    try:
        found = _ask(run, works, question, key=key, **given)
    except (NotLetIn, Declined) as declined:
        hint = " Put a key into EVENHANG_KEY." if isinstance(declined, NotLetIn) else ""
        raise click.UsageError(f"{declined}{hint}") from None
    except Away as away:
        say(f"The service is away: {away}")
        sys.exit(3)
    found.left_out = sorted(dict.fromkeys([*left_out, *found.left_out]), key=lambda one: one.line)
    if not works.rows and not works.left_out:
        say(f"{given['file'].name}: there are no works below the first line.")
    write(found, given)
    if mended and works.left_out:
        say(f"{mended} is not written: it would lack the lines that cannot be read.")
    elif mended:
        write_file(mended, mended_csv(works, found, given))
    for one in found.left_out:
        say(f"line {one.line} ({one.id}) is left out. {one.why}")
    sys.exit(1 if found.left_out or found.findings else 0)


def _ask(run: Run, works: Works, question: dict[str, Any], **given: Any) -> Found:
    """The job run for each member of the file, with a bar where it takes long and somebody watches."""
    if given["as_of"]:
        question["as_of"] = _day(given["as_of"])
    groups = _by_member(works.rows, given["member"])
    watch = Console(stderr=True)
    bar = Progress(
        TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(), console=watch, transient=True
    )
    bar.disable = not watch.is_terminal
    found = Found.of(jobs.tables_of(run, question))
    with bar, Asking(given["service"], given["key"], given["patience"], say) as asking:
        each = run in (jobs.price_works, jobs.settle_sales)
        task = bar.add_task("asking", total=len(works.rows) if each else len(groups))
        for member, rows in groups.items():
            try:
                found.take(run(asking, member, rows, dict(question), lambda: bar.advance(task)))
            except jobs.NoSuchMember as unknown:
                if not any(row["member"] for row in rows):  # not the file's mistake but that of who called
                    raise click.UsageError(f'--member "{member}": {unknown}') from None
                found.left_out += [row.left_out(str(unknown)) for row in rows]
            except (LookupError, TypeError, ValueError, AttributeError) as strange:  # JSON, but not what is answered to this question
                raise asking.no_service(f"{type(strange).__name__}: {strange}") from None
    return found


def _read(file: BinaryIO, given: dict[str, Any]) -> Works:
    try:
        return read_works(file.read(), decimal_comma=given["decimal_comma"])
    except BadFile as bad:
        raise click.UsageError(f"{file.name}: {bad}") from None


def _figure(name: str, said: str, comma: bool) -> str:
    """The figure of an option, with a point. A usage error where it is none."""
    try:
        return figure(f"--{name.replace('_', '-')}", said, comma)
    except BadCell as bad:
        raise click.UsageError(str(bad)) from None


def _day(given: datetime) -> str:
    return given.date().isoformat()


def _by_member(rows: tuple[Row, ...], member: str | None) -> dict[str, list[Row]]:
    """The rows of each member in the order of the file. A usage error where a row has none."""

    def whose(row: Row) -> str:
        if not (row["member"] or member):
            raise click.UsageError(f"line {row.line} does not say whose work it is: add a column `member`, or say --member.")
        return row["member"] or str(member)

    return {name: list(own) for name, own in itertools.groupby(sorted(rows, key=whose), key=whose)}


if __name__ == "__main__":
    signal.signal(signal.SIGINT, lambda *_: sys.exit(STOPPED))
    try:
        main()
    except SystemExit as end:
        if end.code == STOPPED:
            say("Stopped; what was not written by now is not written.")
        raise
