"""Which rows the scripts leave out and what they say of them, and which prices are mended."""

import csv
import io
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., subprocess.CompletedProcess[bytes]]
SALES = Path(__file__).parents[2] / "demo_clients" / "scripts" / "muddlefern-sales.csv"
ONE = b"id,medium,height,width,price\ngood,oil,30,40,250.00\n"


def lines(raw: bytes, delimiter: str = ",") -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(raw.decode("utf-8-sig"), newline=""), delimiter=delimiter))


def test_a_checked_row_that_the_rules_cannot_read_is_left_out(run: Run) -> None:
    """A medium that is unknown, no size, an id twice: none of their findings can be looked for. Each is told once, with its line."""
    done = run(
        "check", "-", "--member", "alder-lane", stdin=ONE + b"colour,fresco,30,40,250.00\nsizeless,oil,,,250.00\ngood,oil,50,60,300.00\n"
    )
    told = done.stderr.decode().splitlines()
    assert done.returncode == 1
    assert [line.partition(" is")[0] for line in told] == ["line 3 (colour)", "line 4 (sizeless)", "line 5 (good)"]
    assert "counted once" in told[2]
    assert {row["line"] for row in lines(done.stdout) if row["problem"]} == {"3", "4", "5"}
    assert not [row for row in lines(done.stdout) if row["works"] in ("colour", "sizeless")]


def test_nothing_stands_twice_word_for_word(run: Run) -> None:
    """Rules that were not in force when the price was listed stop two findings, for one reason."""
    file = b"id,medium,height,width,price,listed_on\nold,oil,30,40,250.00,1999-01-01\n"
    found = lines(run("check", "-", "--member", "alder-lane", stdin=file).stdout)
    assert [row["code"] for row in found if row["works"] == "old" and "no rules" in row["detail"]] == ["incomplete"]
    assert len({tuple(row.items()) for row in found}) == len(found)


@pytest.mark.parametrize("bad", [b"a,oil,30.,40", b"a,oil,30,40,x", b"a,fresco,30,40"])
def test_what_is_left_out_says_whose_it_is(run: Run, bad: bytes) -> None:
    done = run("price", "-", stdin=b"member,id,medium,height,width\nalder-lane," + bad + b"\n")
    assert [(row["line"], row["member"], bool(row["problem"])) for row in lines(done.stdout)] == [("2", "alder-lane", True)]


def test_a_mended_price_belongs_to_the_row_that_was_counted(run: Run, tmp_path: Path) -> None:
    """Of two rows of one id the first is counted; the other stays as it was."""
    file = b"id,medium,height,width,price\nsmall,oil,30,40,400.00\nlarge,oil,50,60,300.00\nlarge,oil,100,100,2000.00\n"
    mended = tmp_path / "mended.csv"
    done = run("check", "-", "--member", "alder-lane", "--mend", "raise-only", "--write-mended", mended, "--table", "mended", stdin=file)
    changed = {row["line"]: row["mended"] for row in lines(done.stdout)}
    assert list(changed) == ["3"]
    assert [row["price"] for row in lines(mended.read_bytes())] == ["400.00", changed["3"], "2000.00"]


def test_a_mended_price_keeps_its_currency_and_takes_equal_outlets_along(run: Run, tmp_path: Path) -> None:
    """An outlet that asked what was listed would undercut the mended price; one that asks something else is the member's own doing."""
    outlets = "studio = 300.00 + quay-gallery=300 EUR + shed-shop = 310.00"
    file = f"id,medium,height,width,price,outlet_prices\nsmall,oil,30,40,400.00 EUR,\nlarge,oil,50,60,300.00 EUR,{outlets}\n"
    mended = tmp_path / "mended.csv"
    asked = ("check", "-", "--member", "alder-lane", "--mend", "raise-only", "--write-mended", mended, "--table", "mended")
    (change,) = lines(run(*asked, stdin=file.encode()).stdout)
    new = change["mended"]
    small, large = lines(mended.read_bytes())
    assert (small["price"], large["price"]) == ("400.00 EUR", f"{new} EUR")
    assert large["outlet_prices"] == f"studio = {new} + quay-gallery={new} EUR + shed-shop = 310.00"


@pytest.mark.parametrize(
    ("job", "row", "column"),
    [
        ("settle", "oil,30,40,250.00,studio,2026-04-01,10%", "discount_percent"),
        ("settle", "oil,30,40,250.00,Studio,2026-04-01,", "outlet"),
        ("settle", 'oil,30,40,"1 240,00",studio,2026-04-01,', "price"),
        ("settle", "oil,30,40,250.00 eur,studio,2026-04-01,", "price"),
        ("season", "oil,30,40,250.00,nowhere,2026-04-01,", "outlet"),
        ("season", "oil,30,40,250.00,studio,2026-04-01,101", "discount_percent"),
        ("price", "fresco,30,40,,,,", "medium"),
        ("price", "Oil,30,40,,,,", "medium"),
        ("check", "fresco,30,40,250.00,,,", "medium"),
        ("review", "fresco,30,40,250.00,,,", "medium"),
        ("feel", "fresco,30,40,250.00,,,", "medium"),
    ],
)
def test_a_fault_is_told_with_its_column(run: Run, job: str, row: str, column: str) -> None:
    """Whether it is found here or by the service, in a row alone or in a list."""
    file = f"id,medium,height,width,price,outlet,sold_on,discount_percent\nw,{row}\n"
    done = run(job, "-", "--member", "alder-lane", stdin=file.encode())
    assert done.returncode == 1
    assert f"line 2 (w) is left out. {column}: " in done.stderr.decode()


def test_of_two_rungs_of_one_name_the_second_is_left_out(run: Run, tmp_path: Path) -> None:
    rungs = tmp_path / "rungs.csv"
    rungs.write_text("id,price\nUpper,1\njug,310.00\njug,95.00\n")
    asked = ("season", SALES, "--member", "muddlefern", "--income", "18000.00", "--rungs", rungs)
    told = run(*asked).stderr.decode().splitlines()
    assert [line.partition(" is")[0] for line in told] == ["line 2 (Upper)", "line 4 (jug)"]


def test_works_and_price_points_are_two_files(run: Run) -> None:
    for file in ("-", SALES):
        done = run("season", file, "--member", "muddlefern", "--income", "18000.00", "--rungs", file, stdin=SALES.read_bytes())
        assert (done.returncode, done.stdout) == (2, b"")
        assert b"FILE and --rungs are the same" in done.stderr
