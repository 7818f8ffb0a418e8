"""The price guide's forms by pencil: the table, the linked data, the page's words; and titles that try to be more than text."""

import csv
import io
import json
import re
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from html.parser import HTMLParser
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from evenhang.api.calls import RulesUsed
from evenhang.api.guide import GuideAnswer, GuideQuery
from evenhang.api.guide_csv import COLUMNS, STARTERS, csv_of, harmless
from evenhang.api.guide_ld import UNIT_CODES, linked_data
from evenhang.api.guide_page import embed_of, page_of
from evenhang.api.guide_words import OWN_NAMES, WORDS, number_in, parity, terms, validity
from evenhang.api.language import LANGUAGES
from evenhang.engine.formats import ShownSize
from evenhang.engine.guide import Guide, GuideGap, GuideMedium, GuideRow
from evenhang.engine.money import Money

EVIL = "</script><script>alert(1)</script>\"'&<img src=x onerror=alert(2)>\u202e"


def euros(amount: str) -> Money:
    return Money(Decimal(amount), "EUR")


def guide_titled(title: str) -> GuideAnswer:
    """A guide with every kind of row, each title the same."""
    flat = GuideRow("small", title, ShownSize("30", "40", None, "cm"), euros("1250.00"), euros("1310.00"))
    bare = GuideRow(None, title, ShownSize("12.5", None, None, "in"), euros("40.00"), None)
    media = (
        GuideMedium("oil", title, "area", "Frame", (flat,), (GuideGap("huge", "out-of-range", title),)),
        GuideMedium("vessel", title, "height", None, (bare,), ()),
        GuideMedium("mural", title, "hours", None, (), (), "Ask."),
    )
    guide = Guide(
        title, title, "EUR", ("EUR", "JPY"), None, None, "included", "10", (title, "Fair"), date(2026, 4, 1), date(2027, 4, 1), title, media
    )
    return GuideAnswer("m", date(2026, 5, 1), RulesUsed("ab" * 32, date(2026, 4, 1), None), guide)


def page(answer: GuideAnswer, language: str = "en") -> str:
    return page_of(answer, GuideQuery(), language, picture=True, media=(("oil", answer.guide.title),)).decode()


# The table.


def test_the_table_by_pencil() -> None:
    answer = guide_titled("Oil, on linen")
    rows = list(csv.DictReader(io.StringIO(csv_of(answer).decode())))
    assert [(row["medium"], row["format"], row["height"], row["width"], row["unit"], row["unframed"], row["framed"]) for row in rows] == [
        ("oil", "small", "30", "40", "cm", "1250.00", "1310.00"),
        ("oil", "huge", "", "", "", "", ""),
        ("vessel", "", "12.5", "", "in", "40.00", ""),
        ("mural", "", "", "", "", "", ""),
    ]
    assert [row["reason"] for row in rows] == ["", "Oil, on linen", "", "Ask."]
    assert {(row["currency"], row["valid_from"], row["valid_until"]) for row in rows} == {("EUR", "2026-04-01", "2027-04-01")}


def test_lines_end_as_rfc_4180_has_it_and_every_line_has_every_column() -> None:
    """RFC 4180, section 2: rules 1 (CRLF), 4 (the same number of fields), 6 and 7 (quotes)."""
    raw = csv_of(guide_titled('He said "a, b"'))
    assert raw.endswith(b"\r\n")
    assert raw.count(b"\n") == raw.count(b"\r\n") == 5
    assert b'"He said ""a, b"""' in raw
    assert {len(row) for row in csv.reader(io.StringIO(raw.decode()))} == {len(COLUMNS)}


@pytest.mark.parametrize(
    ("cell", "safe"),
    [
        ("=1+1", "'=1+1"), ("+1", "'+1"), ("-1", "'-1"), ("@SUM(A1)", "'@SUM(A1)"), ("\t=1", "'\t=1"), ("\r=1", "'\r=1"),
        (" =1", "' =1"), ("\u200f=1", "'\u200f=1"), ("\ufeff@a", "'\ufeff@a"), ("＝1", "'＝1"),
        ("a=1", "a=1"), ("30 x 40", "30 x 40"), ("", ""), ("'=1", "'=1"), ("“=1", "“=1"),
    ],
)  # fmt: skip
def test_formulas_are_made_harmless(cell: str, safe: str) -> None:
    assert harmless(cell) == safe


@given(st.text(max_size=20))
@settings(max_examples=200)
def test_no_title_starts_a_formula_and_none_is_lost(title: str) -> None:
    cell = harmless(title)
    assert cell in (title, "'" + title)
    assert cell.lstrip()[:1] not in STARTERS or not cell.strip()
    if "\r" not in title and "\n" not in title and "\x00" not in title:
        rows = list(csv.DictReader(io.StringIO(csv_of(guide_titled(title)).decode(), newline="")))
        assert rows[0]["medium_title"] == cell


# The linked data.

# schema.org, release 12.0 of the vocabulary: what may stand on which type, and of what kind it is. Rows marked "read" were read in the
# release's table of properties (domainIncludes, rangeIncludes); the others are from memory.
VOCABULARY: dict[str, tuple[set[str], set[str], str]] = {
    "name": ({"Thing"}, {"Text"}, "memory"),
    "numberOfItems": ({"ItemList"}, {"Integer"}, "memory"),
    "itemListElement": ({"ItemList"}, {"ListItem", "Text", "Thing"}, "read"),
    "price": ({"Offer", "PriceSpecification", "TradeAction"}, {"Number", "Text"}, "read"),
    "priceCurrency": ({"Offer", "PriceSpecification", "Reservation", "Ticket", "TradeAction"}, {"Text"}, "read"),
    "priceSpecification": ({"Demand", "Offer", "TradeAction"}, {"PriceSpecification"}, "read"),
    "validFrom": ({"Demand", "Offer", "PriceSpecification"}, {"Date"}, "memory"),
    "validThrough": ({"Demand", "Offer", "PriceSpecification"}, {"Date"}, "read"),
    "valueAddedTaxIncluded": ({"PriceSpecification"}, {"Boolean"}, "read"),
    "seller": ({"Demand", "Offer"}, {"Organization", "Person"}, "memory"),
    "itemOffered": ({"Demand", "Offer"}, {"CreativeWork", "Product", "Service"}, "memory"),
    "artMedium": ({"VisualArtwork"}, {"Text", "URL"}, "memory"),
    "height": ({"MediaObject", "Person", "Product", "VisualArtwork"}, {"Distance", "QuantitativeValue"}, "memory"),
    "width": ({"MediaObject", "Product", "VisualArtwork"}, {"Distance", "QuantitativeValue"}, "read"),
    "depth": ({"Product", "VisualArtwork"}, {"Distance", "QuantitativeValue"}, "memory"),
    "value": ({"MonetaryAmount", "PropertyValue", "QuantitativeValue"}, {"Boolean", "Number", "StructuredValue", "Text"}, "read"),
    "unitCode": ({"QuantitativeValue"}, {"Text", "URL"}, "memory"),
}
ABOVE = {"OfferCatalog": "ItemList", "VisualArtwork": "CreativeWork"}
TYPES = {"OfferCatalog", "Offer", "VisualArtwork", "Product", "PriceSpecification", "Organization", "QuantitativeValue"}


def is_a(kind: str) -> set[str]:
    return {kind, "Thing"} | ({ABOVE[kind]} if kind in ABOVE else set())


def kinds_of(value: Any) -> set[str]:
    if isinstance(value, dict):
        types = value["@type"] if isinstance(value["@type"], list) else [value["@type"]]
        return set().union(*(is_a(kind) for kind in types))
    if isinstance(value, bool):
        return {"Boolean"}
    if isinstance(value, int | float):
        return {"Number", "Integer"} if isinstance(value, int) else {"Number"}
    return {"Text", "Date"} if re.fullmatch("[0-9]{4}-[0-9]{2}-[0-9]{2}", value) else {"Text"}


def misfits(node: dict[str, Any]) -> Iterator[str]:
    """What in a node of linked data the vocabulary does not know, stands on another type, or is of another kind."""
    kinds = kinds_of(node)
    types = node["@type"] if isinstance(node["@type"], list) else [node["@type"]]
    yield from (f"no such type: {kind}" for kind in types if kind not in TYPES)
    for name, value in node.items():
        if name.startswith("@"):
            continue
        if name not in VOCABULARY:
            yield f"no such property: {name}"
            continue
        domain, range_, _ = VOCABULARY[name]
        if not domain & kinds:
            yield f"{name} on {types}"
        for one in value if isinstance(value, list) else [value]:
            if not range_ & kinds_of(one):
                yield f"{name}: {one}"
            if isinstance(one, dict):
                yield from misfits(one)


@pytest.mark.parametrize("language", LANGUAGES)
def test_linked_data_fits_the_vocabulary(language: str) -> None:
    assert list(misfits(json.loads(linked_data(guide_titled("Oil"), language)))) == []


def test_the_vocabularys_rules_see_a_misfit() -> None:
    found = json.loads(linked_data(guide_titled("Oil"), "en"))
    offer = found["itemListElement"][0]["itemListElement"][0]
    offer |= {"valueAddedTaxIncluded": True, "validFrom": "soon", "colour": "red", "seller": "me"}
    assert list(misfits(found)) == ["validFrom: soon", "seller: me", "valueAddedTaxIncluded on ['Offer']", "no such property: colour"]


def test_linked_data_by_pencil() -> None:
    found = json.loads(linked_data(guide_titled("Oil"), "en"))
    assert [(part["name"], part["numberOfItems"]) for part in found["itemListElement"]] == [("Oil", 2), ("Oil", 1), ("Oil", 0)]
    offer = found["itemListElement"][0]["itemListElement"][1]
    assert (offer["name"], offer["price"], offer["priceCurrency"]) == ("Oil, Oil, Framed", "1310.00", "EUR")
    # The guide's prices stand until 1 April, exclusive; the vocabulary names the last day on which they do.
    assert (offer["validFrom"], offer["validThrough"]) == ("2026-04-01", "2027-03-31")
    assert offer["priceSpecification"]["valueAddedTaxIncluded"] is True
    assert offer["itemOffered"]["height"] == {"@type": "QuantitativeValue", "value": 30, "unitCode": "CMT"}
    vessel = found["itemListElement"][1]["itemListElement"][0]
    assert vessel["itemOffered"]["height"] == {"@type": "QuantitativeValue", "value": 12.5, "unitCode": "INH"}
    assert "width" not in vessel["itemOffered"]


@pytest.mark.parametrize(("kind", "said"), [("none", None), ("included", True), ("added", False)])
def test_tax_is_said_where_there_is_one(kind: Any, said: bool | None) -> None:
    answer = guide_titled("Oil")
    found = json.loads(linked_data(replace(answer, guide=replace(answer.guide, tax_kind=kind)), "en"))
    assert found["itemListElement"][0]["itemListElement"][0]["priceSpecification"].get("valueAddedTaxIncluded") is said


def test_units_are_those_of_recommendation_20() -> None:
    """UN/CEFACT Recommendation 20, common codes: MMT millimetre, CMT centimetre, MTR metre, INH inch (from memory)."""
    assert UNIT_CODES == {"mm": "MMT", "cm": "CMT", "m": "MTR", "in": "INH"}


# Titles that try to be more than text.


class Tags(HTMLParser):
    """The elements and attributes of a page as a parser of HTML sees them."""

    def __init__(self) -> None:
        super().__init__()
        self.seen: list[str] = []
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append(" ".join((tag, *(name for name, _ in attrs))))

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def tags(html: str) -> Tags:
    found = Tags()
    found.feed(html)
    return found


@pytest.mark.parametrize("title", [EVIL, "{{ 7 * 7 }}", "--><!--", "]]>", "\u202e\u2066x", "a\x00b"])
def test_a_title_adds_no_element_to_a_page(title: str) -> None:
    plain, evil = guide_titled("Oil"), guide_titled(title)
    assert tags(page(evil)).seen == tags(page(plain)).seen
    assert tags(embed_of(evil, "en").decode()).seen == tags(embed_of(plain, "en").decode()).seen
    assert title in "".join(tags(embed_of(evil, "en").decode()).texts)


def test_the_check_on_elements_would_see_one() -> None:
    assert tags(page(guide_titled("Oil")).replace("Oil", EVIL)).seen != tags(page(guide_titled("Oil"))).seen


def test_linked_data_cannot_close_its_script() -> None:
    raw = linked_data(guide_titled(EVIL), "en")
    assert not set(raw) & set(b"<>&")
    assert json.loads(raw)["name"].startswith(EVIL)


def test_the_piece_is_small_and_brings_no_style_and_no_script() -> None:
    html = embed_of(guide_titled("Oil"), "en").decode()
    assert len(html) < 2_500
    assert re.findall(r"<(?:script|style|link|img|iframe)|\s(?:class|id|style|on\w+)=|https?:", html) == []


# Words.


def test_every_language_has_every_word_with_the_same_places() -> None:
    assert set(WORDS) == set(OWN_NAMES) == set(LANGUAGES)
    for key, english in WORDS["en"].items():
        for language in LANGUAGES:
            said = WORDS[language][key]
            assert said, (language, key)
            assert sorted(re.findall(r"\{\d\}", said)) == sorted(re.findall(r"\{\d\}", english)), (language, key)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("value", ["0", "250.00", "1350.00", "12400.50", "1234567.891", "38500"])
def test_numbers_are_written_as_the_language_does(language: str, value: str) -> None:
    """CLDR through Babel, the reference; it does not know that Spanish groups from 10,000 on (CLDR, es, minimumGroupingDigits 2)."""
    numbers = pytest.importorskip("babel.numbers", reason="Babel comes with the tools for developers")
    number = Decimal(value)
    grouped = language != "es" or number >= 10_000
    pattern = "#,##0." + "0" * -int(number.as_tuple().exponent) if "." in value else "#,##0"
    assert number_in(number, language) == numbers.format_decimal(number, pattern, language, group_separator=grouped)


def test_until_when_prices_stand_names_the_last_day() -> None:
    guide = guide_titled("Oil").guide
    assert validity(guide, "en") == "Valid from 2026-04-01 to 2027-03-31"
    assert validity(replace(guide, valid_until=None), "de") == "Gültig ab 2026-04-01"
    assert terms(guide, "fr") == "Prix en EUR, taxe de 10 % comprise. Valable du 2026-04-01 au 2027-03-31."


def test_parity_in_another_currency_says_where_its_prices_come_from() -> None:
    guide = replace(guide_titled("Oil").guide, currency="JPY", rate="160.25", rate_on=date(2025, 1, 1))
    assert parity(guide, "de").endswith(
        "Preise in JPY sind die in der eigenen Währung der Werkstatt x 160,25, Kurs vom 2025-01-01, gerundet."
    )
    assert "Oil; Fair" in parity(guide, "ja")


def test_what_was_asked_for_stays_in_the_links() -> None:
    asked = GuideQuery(medium="oil", currency="EUR", as_of=date(2026, 5, 1))
    html = page_of(guide_titled("Oil"), asked, "fr", picture=False, media=(("oil", "Oil"), ("vessel", "Vessel"))).decode()
    assert 'href="?medium=oil&amp;currency=JPY&amp;as_of=2026-05-01&amp;lang=fr"' in html
    assert 'href="?medium=vessel&amp;currency=EUR&amp;as_of=2026-05-01&amp;lang=fr"' in html
    assert 'href="?currency=EUR&amp;as_of=2026-05-01&amp;lang=fr"' in html
    assert "form=csv" in html
    assert "form=svg" not in html
