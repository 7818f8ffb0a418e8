"""The README's rule book by example: its two files load, and the figures beside them are what they give."""

import re
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from evenhang.api.examples import load_examples
from evenhang.engine.money import Amount
from evenhang.engine.quote import price_work
from evenhang.engine.settlement import settle
from evenhang.engine.sizes import Size
from evenhang.engine.works import ChosenExtra, Work, WorkCost
from evenhang.rulebook.book import RuleBook, load_book

README = (Path(__file__).parents[2] / "README.md").read_text()
ON = date(2026, 5, 1)
WORK = Work(
    medium="gouache",
    size=Size(Amount("30"), "cm", Amount("40")),
    grade="close-work",
    extras=(ChosenExtra("gilded-edge"),),
    costs=(WorkCost("frame"),),
)


def example(folder: Path) -> RuleBook:
    for block in re.findall(r"```toml\n(.*?)```", README, re.S):
        file = folder / block.split("\n", 1)[0].removeprefix("# ")
        file.parent.mkdir(parents=True)
        file.write_text(block)
    return load_book(folder)


def test_the_two_files_give_the_figures_beside_them(tmp_path: Path) -> None:
    rules = example(tmp_path).in_force("thimble-yard", ON)
    price = price_work(rules, WORK, ON)
    rows = [f"| {line.code} | {line.amount.amount} | {line.working} |" for line in price.lines]
    assert "\n".join(rows) in README
    sold = settle(rules, "quay-gallery", price.retail, Decimal(10), price.costs)
    assert f"EUR {price.retail}.00" in README
    assert f"the buyer pays {sold.buyer_pays.amount}" in README
    assert f"leaves the member {sold.proceeds.amount}" in README


def test_the_removal_that_the_readme_describes(tmp_path: Path) -> None:
    example(tmp_path)
    (tmp_path / "members/thimble-yard/2026-04-01.toml").write_text('[extras]\ngilded-edge = { kind = "removed" }\n')
    book = load_book(tmp_path)
    assert [bool(book.in_force("thimble-yard", day).rules.extras) for day in (date(2026, 3, 31), date(2026, 4, 1))] == [True, False]


ROWS = re.findall(r"^\| `(\w+)/([a-z0-9-]+)` \| (.+) \|$", README, re.M)


@pytest.mark.parametrize(("operation", "name", "said"), ROWS, ids=[row[1] for row in ROWS])
def test_the_figures_beside_an_example_are_its_answers(operation: str, name: str, said: str) -> None:
    """Every amount stands in the answer, every count as a number of its own."""
    (example,) = [e for e in load_examples() if (e.operation, e.name) == (operation, name)]
    answer = example.answer.decode()
    amounts = set(re.findall(r"\d+\.\d\d", said))
    counts = set(re.findall(r"(?<![\d.])(?:to|In the gallery|are|or) (\d+)(?![\d.])", said))
    assert amounts
    assert [amount for amount in amounts if f'"{amount}"' not in answer] == []
    assert [count for count in counts if not re.search(rf': "?{count}"?,', answer)] == []


def test_the_readme_shows_examples() -> None:
    assert {row[0] for row in ROWS} >= {"quoteBespoke", "priceEdition", "priceSet", "reviewList", "sumYields"}
