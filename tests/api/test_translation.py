"""Texts and amounts in each language: CLDR's patterns with ISO's digits, decimal marks, and nothing translated that is not ours."""

import re
from datetime import date
from decimal import Decimal as D

import iso4217
import msgspec
import pytest
from babel.numbers import format_currency
from hypothesis import given
from hypothesis import strategies as st

from evenhang.api.language import LANGUAGES
from evenhang.api.translation import displayed, encode, said_in
from evenhang.engine.growth import growth_words
from evenhang.engine.money import MINOR_DIGITS, Money, in_percent, money, numeral, shown
from evenhang.engine.rules import Increase
from evenhang.engine.saying import Numeral, reckon, say

# A space that does not break, and the narrow one of French thousands (CLDR: fr, group).
NB, NNB = "\u00a0", "\u202f"


@pytest.mark.parametrize(
    ("amount", "currency", "written"),
    [
        # English: the ISO code before the amount, as the style guide of the European Union's institutions has it (from memory), for a
        # sign such as $ is many currencies'. The others: CLDR's standard patterns, as Babel 2.18 carries them.
        ("1240", "EUR", (f"EUR{NB}1,240.00", f"1{NNB}240,00{NB}€", f"1.240,00{NB}€", f"1240,00{NB}€", "€1,240.00")),
        ("12400.5", "EUR", (f"EUR{NB}12,400.50", f"12{NNB}400,50{NB}€", f"12.400,50{NB}€", f"12.400,50{NB}€", "€12,400.50")),
        ("150500", "JPY", (f"JPY{NB}150,500", f"150{NNB}500{NB}JPY", f"150.500{NB}¥", f"150.500{NB}JPY", "￥150,500")),
        ("0.125", "KWD", (f"KWD{NB}0.125", f"0,125{NB}KWD", f"0,125{NB}KWD", f"0,125{NB}KWD", f"KWD{NB}0.125")),
        ("-1240", "EUR", (f"-EUR{NB}1,240.00", f"-1{NNB}240,00{NB}€", f"-1.240,00{NB}€", f"-1240,00{NB}€", "-€1,240.00")),
    ],
)
def test_an_amount_as_each_language_writes_it(amount: str, currency: str, written: tuple[str, ...]) -> None:
    assert tuple(displayed(money(D(amount), currency), language) for language in LANGUAGES) == written


@pytest.mark.parametrize("currency", ["IQD", "AFN", "ALL", "LBP", "YER"])
def test_iso_decides_the_digits_where_cldr_has_others(currency: str) -> None:
    """ISO 4217 (package iso4217) against CLDR (Babel 2.18 and 2.19), which writes these without minor digits."""
    digits = iso4217.Currency(currency).exponent
    for language in LANGUAGES:
        shown_here = displayed(money(D("7"), currency), language)
        assert sum(sign.isdigit() for sign in shown_here) == 1 + digits
        assert sum(sign.isdigit() for sign in format_currency(D(7), currency, locale=language)) == 1


@given(st.sampled_from(sorted(MINOR_DIGITS)), st.integers(-(10**14), 10**14))
def test_english_needs_no_babel_and_agrees_with_it(currency: str, units: int) -> None:
    amount = Money(D(units).scaleb(-MINOR_DIGITS[currency]), currency)
    digits = "0" * MINOR_DIGITS[currency]
    pattern = "¤¤\u00a0#,##0." + digits if digits else "¤¤\u00a0#,##0"
    assert str(amount) == format_currency(amount.amount, currency, pattern, locale="en", currency_digits=False)


@given(
    st.sampled_from(["fr", "de", "es", "ja"]), st.sampled_from(["EUR", "USD", "CHF", "GBP", "CZK", "XAF"]), st.integers(-(10**14), 10**14)
)
def test_other_languages_agree_with_babel(language: str, currency: str, units: int) -> None:
    """Wherever CLDR and ISO have the same digits, and but for the two things that Babel leaves out (decision D17)."""
    amount = money(D(units).scaleb(-MINOR_DIGITS[currency]), currency)
    expected = format_currency(amount.amount, currency, locale=language, group_separator=language != "es" or abs(amount.amount) >= 10_000)
    assert displayed(amount, language) == re.sub(r"(?<=[A-Z])(?=[0-9])", NB, expected)


@given(st.sampled_from(LANGUAGES), st.sampled_from(sorted(MINOR_DIGITS)), st.integers(-(10**14), 10**14))
def test_a_displayed_amount_keeps_every_digit(language: str, currency: str, units: int) -> None:
    digits = MINOR_DIGITS[currency]
    text = displayed(Money(D(units).scaleb(-digits), currency), language)
    assert "".join(sign for sign in text if sign.isascii() and sign.isdigit()) == str(abs(units)).rjust(digits + 1, "0")
    assert ("-" in text) is (units < 0)


def test_numerals_get_the_decimal_mark_and_nothing_else_does() -> None:
    text = reckon("{a} x {b}", a=numeral(D("4800.5")), b="12.5")
    assert [said_in(text, language) for language in LANGUAGES] == [
        "4800.5 x 12.5",
        "4800,5 x 12.5",
        "4800,5 x 12.5",
        "4800,5 x 12.5",
        "4800.5 x 12.5",
    ]


def test_a_numeral_alone_is_a_text_too() -> None:
    assert (said_in(numeral(D("61.5")), "fr"), said_in(numeral(D("61.5")), "en"), said_in("61.5", "fr")) == ("61,5", "61.5", "61.5")


def test_what_is_said_inside_is_said_in_the_same_language() -> None:
    part = say("{percent} of {whole}", percent=in_percent(D("2.5")), whole=Numeral("80.00"))
    assert said_in(say("{sum}, never below 0", sum=part), "de") == f"2,5{NB}% von 80,00, nie unter 0"
    assert said_in(say("{sum}, never below 0", sum=part), "en") == "2.5 % of 80.00, never below 0"


def test_other_peoples_words_are_not_translated() -> None:
    """A title that happens to be one of our own words stays as it is, as a plain text and inside a sum; braces do no harm."""
    assert said_in("Sale", "de") == "Sale"
    assert said_in(reckon("{title}, {size}", title="Sale {size}", size="30f"), "de") == "Sale {size}, 30f"
    assert said_in(say("Sale"), "de") == "Verkauf"


def test_a_text_that_no_catalogue_has_stays_english() -> None:
    new = "A text of tomorrow: {n}."
    assert said_in(reckon(new, n=Numeral("1.5")), "ja") == "A text of tomorrow: 1.5."


class Answer(msgspec.Struct, frozen=True):
    label: str
    price: Money
    display: str


def test_encoding_says_the_texts_and_leaves_the_rest() -> None:
    price = money(D("1240"), "EUR")
    answer = Answer(say("Sale"), price, shown(price))
    assert encode(answer) == b'{"label":"Sale","price":{"amount":"1240.00","currency":"EUR"},"display":"EUR\xc2\xa01,240.00"}'
    assert (
        encode(answer, "de")
        == b'{"label":"Verkauf","price":{"amount":"1240.00","currency":"EUR"},"display":"1.240,00\xc2\xa0\xe2\x82\xac"}'
    )
    with pytest.raises(NotImplementedError):
        encode({"x": object()})


def test_a_language_that_is_not_offered_is_a_mistake_of_ours() -> None:
    with pytest.raises(KeyError):
        said_in(say("Sale"), "../x")


@pytest.mark.parametrize("language", LANGUAGES)
def test_an_increase_since_the_first_year_of_the_calendar_is_said(language: str) -> None:
    """As many factors as years: beside one another, since inside one another they would be more than can be gone down into."""
    said = said_in(growth_words(Increase(date(1, 1, 1)), date(2026, 1, 1)), language)
    factors = said.split(" x ")
    assert len(factors) == 2025
    assert "(1 + 0" in factors[0]
    assert "2026" in factors[-1]
