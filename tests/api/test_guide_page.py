"""The price guide's page and piece: titles that try to be more than text, words in every language, links that keep what was asked for."""

import re
from datetime import date
from decimal import Decimal
from html.parser import HTMLParser
from typing import Any

import pytest
from babel.numbers import format_decimal
from msgspec.structs import replace
from tests.api.guides import EVIL, guide_titled

from evenhang.api.guide import GuideAnswer, GuideQuery
from evenhang.api.guide_ld import linked_data
from evenhang.api.guide_page import embed_of, page_of
from evenhang.api.guide_words import OWN_NAMES, WORDS, number_in, parity, terms, validity
from evenhang.api.language import LANGUAGES
from evenhang.engine.formats import ShownSize


def page(answer: GuideAnswer, language: str = "en") -> str:
    return page_of(answer, GuideQuery(), language, picture=True, media=(("oil", answer.guide.title),)).decode()


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
    number = Decimal(value)
    grouped = language != "es" or number >= 10_000
    pattern = "#,##0." + "0" * -int(number.as_tuple().exponent) if "." in value else "#,##0"
    assert number_in(number, language) == format_decimal(number, pattern, language, group_separator=grouped)


def test_until_when_prices_stand_names_the_last_day() -> None:
    guide = guide_titled("Oil").guide
    assert validity(guide, "en") == "Valid from April 1, 2026 to March 31, 2027"
    assert validity(replace(guide, valid_until=None), "de") == "Gültig ab 1. April 2026"
    assert terms(guide, "fr") == "Prix en EUR, taxe de 10 % comprise. Valable du 1 avril 2026 au 31 mars 2027."
    assert validity(guide, "es") == "Válida del 1 de abril de 2026 al 31 de marzo de 2027"
    assert validity(guide, "ja") == "2026年4月1日から2027年3月31日まで有効"


@pytest.mark.parametrize("language", LANGUAGES)
def test_days_are_for_people_and_beside_them_for_programs(language: str) -> None:
    """In what is read no day is written as data write it; each has its own beside it (HTML, section 4.5.14)."""
    for html in (page(guide_titled("Oil"), language), embed_of(guide_titled("Oil"), language).decode()):
        assert re.findall(r'<time datetime="([^"]+)">', html)[:2] == ["2026-04-01", "2027-03-31"]
        shown = re.sub(r"<script.*?</script>|<[^>]+>", "", html, flags=re.S)
        assert re.findall(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", shown) == []


def sized(title: str, height: str, width: str, unit: Any = "in") -> GuideAnswer:
    answer = guide_titled("Oil")
    row = replace(answer.guide.media[0].rows[0], title=title, size=ShownSize(height, width, None, unit))
    media = (replace(answer.guide.media[0], rows=(row,)),)
    return replace(answer, guide=replace(answer.guide, media=media))


@pytest.mark.parametrize(
    ("language", "title", "sides", "shown"),
    [
        ("en", "A4", ("11.6929", "8.2677"), "A4 11.69 × 8.27 in"),
        ("de", "A4", ("11.6929", "8.2677"), "A4 11,69 × 8,27 in"),
        ("fr", "0.3 x 1.205 in", ("0.3", "1.205"), "0,3 x 1,21 in"),
        ("es", "Small, 0.3 x 0.25 in", ("0.3", "0.25"), "Small, 0,3 x 0,25 in"),
        ("ja", "Tiny", ("0.0039", "10"), "Tiny 0.0039 × 10 in"),
    ],
)
def test_sizes_have_the_languages_mark_and_no_more_digits_than_help(language: str, title: str, sides: tuple[str, str], shown: str) -> None:
    answer = sized(title, *sides)
    for html in (page(answer, language), embed_of(answer, language).decode()):
        assert re.sub("<[^>]+>", "", html[html.index('<th scope="row">') : html.index("<td>")]).strip() == shown
    # The exact figures stay in the data.
    assert f'"value":{sides[0]}' in linked_data(answer, language).decode()


def test_parity_in_another_currency_says_where_its_prices_come_from() -> None:
    guide = replace(guide_titled("Oil").guide, currency="JPY", rate="160.25", rate_on=date(2025, 1, 1))
    assert parity(guide, "de").endswith(
        "Preise in JPY sind die in der eigenen Währung der Werkstatt x 160,25, Kurs vom 1. Januar 2025, gerundet."
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
