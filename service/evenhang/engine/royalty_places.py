"""The table of resale royalties by place and day: bands, smallest price, most, base, source, and how sure.

Knows no sale. Arithmetic, not advice: each row says where it was read; a row that nobody has read says "memory".
"""

from datetime import date
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from evenhang.engine.money import Currency, Figure, Money, money
from evenhang.engine.works import Name


class RoyaltyBand(Struct, frozen=True):
    """A portion of the price: what lies above the band before it and up to `to` (the last one is open), at its percentage."""

    percent: Figure
    to: Money | None = None


class PlaceRule(Struct, frozen=True):
    """One row: what a place asks of resales from a day on. A price of exactly `smallest_price` counts.

    `most` is None where there is no limit. `known` says whether somebody has read the source.
    """

    place: Name
    title: str
    in_force_from: date
    in_force_until: date | None
    currency: Currency
    smallest_price: Money
    base: Literal["net-of-tax", "with-tax"]
    bands: tuple[RoyaltyBand, ...]
    most: Money | None
    source: str
    known: Literal["read", "memory"]
    note: str = ""


# Directive 2001/84/EC, Art. 4(1): portions of the price and their percentages; every place here but Australia has the same.
_PORTIONS = (("50000", "4"), ("200000", "3"), ("350000", "1"), ("500000", "0.5"), (None, "0.25"))
_MOST = "12500"
_DIRECTIVE = "Directive 2001/84/EC (OJ L 272 of 13.10.2001)"
# A state may set its own smallest price under this ceiling (Art. 3(2)).
STATES_CHOOSE = ("eu", "eu-five-percent")


def _bands(currency: str, lowest: str = "4") -> tuple[RoyaltyBand, ...]:
    rates = [(to, lowest if percent == "4" else percent) for to, percent in _PORTIONS]
    return tuple(RoyaltyBand(Decimal(percent), None if to is None else money(Decimal(to), currency)) for to, percent in rates)


def _like_the_directive(
    place: str, title: str, smallest: str, days: tuple[date, date | None], source: str, note: str, currency: str = "EUR"
) -> PlaceRule:
    """A row with the directive's bands, base (net of tax, Art. 5) and limit."""
    least, most = money(Decimal(smallest), currency), money(Decimal(_MOST), currency)
    return PlaceRule(place, title, *days, currency, least, "net-of-tax", _bands(currency), most, source, "read", note)


PLACES: tuple[PlaceRule, ...] = (
    _like_the_directive(
        "eu", "European Union, the directive's own figures", "3000", (date(2006, 1, 1), None),
        f"{_DIRECTIVE}, Art. 3(2), 4(1) and 5; the day by which states had to follow it: Art. 12",
        "3,000 EUR is the most that a state may set as its smallest price; state the place's own as `smallest_price`.",
    ),
    PlaceRule(
        "eu-five-percent", "European Union, the option of 5 % on the lowest band", date(2006, 1, 1), None, "EUR",
        money(Decimal(3000), "EUR"), "net-of-tax", _bands("EUR", "5"), money(Decimal(_MOST), "EUR"),
        f"{_DIRECTIVE}, Art. 4(2)", "memory",
        "An option of the states, written down from memory: read the article and the state's law before you rely on it.",
    ),
    _like_the_directive(
        "de", "Germany", "400", (date(2006, 11, 16), None), "Urheberrechtsgesetz, s. 26",
        "In this form since the fifth act amending it (BGBl. I 2006, p. 2587, published on 15 November 2006, read; "
        "in force on the next day, from memory).",
    ),
    _like_the_directive(
        "fr", "France", "750", (date(2007, 6, 1), None), "Code de la propriété intellectuelle, art. R. 122-6",
        "For sales from the first day of the month after decree 2007-756 of 9 May 2007 was published (its art. 3, read). "
        "A secondary source says that the price must be over 750 EUR; here exactly 750 EUR counts.",
    ),
    _like_the_directive(
        "ie", "Ireland", "3000", (date(2006, 6, 13), None), "S.I. No. 312/2006",
        'Sources differ at exactly 3,000 EUR ("3,000 or more", "more than 3,000"); here exactly 3,000 EUR counts. '
        "For the heirs of a maker who has died only since 1 January 2012 (S.I. No. 709/2011).",
    ),
    _like_the_directive(
        "gb", "United Kingdom, to 31 March 2024", "1000", (date(2006, 2, 14), date(2024, 4, 1)), "SI 2006/346, Schedule 1",
        "Amounts are in euro, whatever the sale was in.",
    ),
    _like_the_directive(
        "gb", "United Kingdom, from 1 April 2024", "1000", (date(2024, 4, 1), None), "SI 2006/346 as amended by SI 2023/1285",
        "The same numbers as before, in pounds.", "GBP",
    ),
    PlaceRule(
        "au", "Australia", date(2010, 6, 9), None, "AUD", money(Decimal(1000), "AUD"), "with-tax", (RoyaltyBand(Decimal(5)),), None,
        "Resale Royalty Right for Visual Artists Act 2009", "read",
        "5 % of the price with its GST. A work that its seller had before 9 June 2010 is not covered at its first transfer after that day.",
    ),
)  # fmt: skip
