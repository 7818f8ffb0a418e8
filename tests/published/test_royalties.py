"""Published figures of resale royalties, each with its source. Arithmetic, not advice."""

from datetime import date
from decimal import Decimal as D

import pytest

from evenhang.engine.money import Amount, GivenMoney, to_minor
from evenhang.engine.royalty import ResaleRoyalty, law_of, royalty_of
from evenhang.engine.royalty_places import PLACES

ON = date(2026, 5, 1)


def due(place: str, price: str, on: date = ON, **more: object) -> ResaleRoyalty:
    law = law_of(place, on)
    return royalty_of(law, GivenMoney(Amount(price), law.currency), **more)


def amount(place: str, price: str, on: date = ON) -> str:
    return str(due(place, price, on).royalty.amount)


# Directive 2001/84/EC, OJ L 272 of 13.10.2001, Art. 4(1) (read), in consecutive portions.
TABLE = [
    ("50000", "2000.00"),  # computed: 4 % of 50,000
    ("50000.01", "2000.00"),  # computed: 3 % of a cent is nothing
    ("100000", "3500.00"),  # computed
    ("200000", "6500.00"),  # GOV.UK guidance on the artist's resale right (read)
    ("350000", "8000.00"),  # computed
    ("500000", "8750.00"),  # computed
    ("1000000", "10000.00"),  # computed
    ("2000000", "12500.00"),  # VG Bild-Kunst: the limit is reached exactly (read)
    ("5000000", "12500.00"),  # computed: the limit
]


@pytest.mark.parametrize("place", ["eu", "de", "fr", "ie", "gb"])
@pytest.mark.parametrize(("price", "royalty"), TABLE)
def test_the_directives_bands(place: str, price: str, royalty: str) -> None:
    assert amount(place, price) == royalty


def test_the_limit_is_reached_without_being_cut() -> None:
    """2,000,000 -> 12,500 exactly (VG Bild-Kunst, read): no line takes anything off; a price above has one."""
    assert [line.code for line in due("de", "2000000").lines] == [f"band-{i}" for i in range(1, 6)]
    assert [line.code for line in due("de", "2000004").lines][-1] == "limit"


@pytest.mark.parametrize(
    ("place", "on", "smallest", "royalty"),
    [
        ("eu", ON, "3000", "120.00"),  # Directive 2001/84/EC, Art. 3: the ceiling on a state's minimum (read)
        ("de", ON, "400", "16.00"),  # UrhG s. 26 (read)
        ("fr", ON, "750", "30.00"),  # CPI R. 122-6 (read); a secondary source says over 750
        ("ie", ON, "3000", "120.00"),  # SI 312/2006 (read); sources differ at exactly 3,000
        ("gb", date(2024, 3, 31), "1000", "40.00"),  # SI 2006/346: euro (read)
        ("gb", date(2024, 4, 1), "1000", "40.00"),  # SI 2023/1285: pounds (read)
        ("au", ON, "1000", "50.00"),  # Resale Royalty Right for Visual Artists Act 2009: 5 % with GST (read)
    ],
)
def test_the_smallest_price_that_counts(place: str, on: date, smallest: str, royalty: str) -> None:
    assert amount(place, smallest, on) == royalty
    below = due(place, str(D(smallest) - D("0.01")), on)
    assert (str(below.royalty.amount), below.lines) == ("0.00", ())
    assert below.reason is not None
    assert below.reason.code == "below-smallest-price"


def test_the_united_kingdom_changed_its_currency_on_1_april_2024() -> None:
    """SI 2023/1285 (read): the same numbers in pounds."""
    before, after = law_of("gb", date(2024, 3, 31)), law_of("gb", date(2024, 4, 1))
    assert (before.currency, after.currency) == ("EUR", "GBP")
    assert [b.to and b.to.amount for b in before.bands] == [b.to and b.to.amount for b in after.bands]


def test_boundaries_on_which_sources_differ_are_said() -> None:
    """Ireland: "for 3,000 or more" and "more than 3,000" are both published (read)."""
    assert "differ at exactly 3,000" in law_of("ie", ON).note


def test_australia_counts_the_tax_and_europe_does_not() -> None:
    """5 % of the GST-inclusive price (read): 1,100 -> 55. Directive, Art. 5: net of tax (read): 107,000 with 7 % -> 100,000 -> 3,500."""
    assert str(due("au", "1100", tax_percent=D(10)).royalty.amount) == "55.00"
    assert str(due("de", "107000", tax_percent=D(7)).royalty.amount) == "3500.00"


def test_the_option_of_five_percent() -> None:
    """Directive, Art. 4(2): 5 % on the lowest band. From memory, not read; computed: 2,500 + 1,500 at 100,000. The limit stays."""
    assert law_of("eu-five-percent", ON).known == "memory"
    assert amount("eu-five-percent", "100000") == "4000.00"
    assert amount("eu-five-percent", "5000000") == "12500.00"


def test_only_the_option_is_from_memory_and_every_row_has_its_source() -> None:
    assert [row.place for row in PLACES if row.known == "memory"] == ["eu-five-percent"]
    assert all(len(row.source) > 15 for row in PLACES)


def test_conversion_as_the_changeover_rules_have_it() -> None:
    """Council Regulation (EC) 1103/97, Art. 4-5: divided by the rate, half up. 500 / 239.640 -> 2.09 (Slovenian changeover, read)."""
    assert str(to_minor(D(500) / D("239.640"), "EUR")) == "2.09"
