"""Figures with decimal commas: read wherever a figure stands, written where the file is theirs, and never guessed."""

import csv
import io
import json
import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., subprocess.CompletedProcess[bytes]]


def lines(raw: bytes, delimiter: str = ",") -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(raw.decode("utf-8-sig"), newline=""), delimiter=delimiter))


POINTS = """id;medium;height;width;panels;costs;hours;price;outlet_prices;earlier_prices;listed_on
2024.1;oil;40.5;50;;frame = 30.50;3.5;480.00 EUR;studio = 470.50 + quay-gallery = 480.00 EUR;2025-10-01 = 455.50;2026-04-11
2024.2;oil;;;40.5 x 40.5 + 40 x 60.5;frame = 12.25;;1240.00;;;2026-04-11
"""
COMMAS = re.sub(r"(?<!2024)[.](?=[0-9])", ",", POINTS)


@pytest.mark.parametrize("job", [("price",), ("check", "--tolerance-percent", "2.5"), ("review",), ("feel", "--share-percent", "62.5")])
def test_commas_mean_in_every_cell_and_option_what_points_mean(run: Run, job: tuple[str, ...]) -> None:
    """Also beside a name, a side, a currency or a day. What is answered is the same, and ids stay ids."""
    points = run(*job, "-", "--member", "alder-lane", "--json", stdin=POINTS.encode())
    swapped = [word.replace(".", ",") for word in job]
    commas = run(*swapped, "-", "--member", "alder-lane", "--json", "--decimal-comma", stdin=COMMAS.encode())
    assert json.loads(points.stdout) == json.loads(commas.stdout)
    assert (points.stderr, points.returncode) == (commas.stderr, commas.returncode)
    assert json.loads(points.stdout)["answers"]
    assert b"is left out" not in points.stderr


def test_an_income_has_a_decimal_comma_too(run: Run, tmp_path: Path) -> None:
    rungs = tmp_path / "rungs.csv"
    rungs.write_text("id;price\njug;310,00\n")
    sold = b"medium;price;outlet;sold_on\nvessel;310,00;studio;2026-04-01\n"
    asked = ("season", "-", "--member", "muddlefern", "--rungs", rungs, "--decimal-comma", "--income")
    assert run(*asked, "18000,50", stdin=sold).returncode == 0
    refused = run(*asked, "18.000", stdin=sold)
    assert refused.returncode == 2
    assert b'--income: is "18.000"' in refused.stderr


def test_a_point_is_not_read_where_commas_are_said(run: Run) -> None:
    """1.240 is a thousand more there than 1.24, and nobody can tell which is meant."""
    file = b"id;medium;outlet;price\na;oil;studio;1.240\nb;oil;studio;1240,00\n"
    done = run("settle", "-", "--member", "alder-lane", "--decimal-comma", stdin=file)
    assert done.returncode == 1
    assert b'line 2 (a) is left out. price: is "1.240"; write digits with at most one comma' in done.stderr
    assert [row["listed"] for row in lines(done.stdout, ";")] == ["", "1240,00"]


def test_ids_and_titles_that_look_like_figures_stay_as_they_are(run: Run, tmp_path: Path) -> None:
    """In what is answered and in the mended file, which is the file but for its prices."""
    head = b"id;title;medium;height;width;price;note\r\n"
    file = head + b"2024.1;12.5;oil;30,5;40;400,00;-1,5\r\n2024.2;7,5;oil;50;60;300,00;1.5\r\n"
    mended = tmp_path / "mended.csv"
    asked = ("check", "-", "--member", "alder-lane", "--decimal-comma", "--mend", "raise-only")
    done = run(*asked, "--write-mended", mended, "--table", "mended", stdin=file)
    (change,) = lines(done.stdout, ";")
    assert (change["id"], change["listed"]) == ("2024.2", "300,00")
    assert mended.read_bytes() == file.replace(b"300,00", change["mended"].encode())
    priced = lines(run("price", "-", "--member", "alder-lane", "--decimal-comma", stdin=file).stdout, ";")
    assert [(row["id"], row["title"]) for row in priced] == [("2024.1", "12.5"), ("2024.2", "7,5")]
    assert all(row["price"].endswith(",00") for row in priced)
