"""Negotiation: the tables of RFC 9110 and RFC 4647, q-values, refusals, and hostile fields."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenhang.api.language import DEFAULT, LANGUAGES, MOST_CHARACTERS, MOST_RANGES, _lookup, language_of


@pytest.mark.parametrize(
    ("field", "language"),
    [
        ("", "en"),
        ("de", "de"),
        ("DE", "de"),  # RFC 4647, section 2: ranges are compared without case
        ("de-CH, de;q=0.9, en;q=0.8", "de"),
        ("da, en-gb;q=0.8, en;q=0.7", "en"),  # RFC 9110, section 12.5.4, its own example
        ("ja-Jpan-JP-x-shop", "ja"),
        ("fr-CA;q=0.2, es-MX;q=0.3", "es"),
        ("fr;q=0.5, es;q=0.5", "fr"),  # equal weights: the earlier one
        ("fr;q=0.001, es;q=0.002", "es"),
        ("zh-Hant, ko;q=0.9", "en"),  # nothing suits: the default, never a 406
        ("*", "en"),
        ("zh, *;q=0.5", "en"),
        ("*, fr;q=0.3", "fr"),  # RFC 4647, section 3.4: "*" is passed over in lookup
        ("en;q=0, *", "fr"),
        ("en;q=0, fr;q=0", "de"),
        ("de;q=0, de-CH", "en"),  # what is refused is not reached by the back door
        ("de-CH;q=0, de", "de"),
        ("en;q=0,fr;q=0,de;q=0,es;q=0,ja;q=0", "en"),
        ("fr;q=1.000, de", "fr"),
        ("de ; q=0.3 , fr ; q=0.4", "fr"),
        ("fr;q=0, fr, de;q=0.1", "de"),  # said twice: the first counts
    ],
)
def test_the_language_of_a_field(field: str, language: str) -> None:
    assert language_of(field) == language


def test_the_fallback_of_the_standard(monkeypatch: pytest.MonkeyPatch) -> None:
    """RFC 4647, section 3.4: the range of its example is shortened exactly so, a single letter together with what followed it."""
    tried: list[str] = []

    class Asked(tuple[str, ...]):
        def __contains__(self, tag: object) -> bool:
            tried.append(str(tag))
            return False

    monkeypatch.setattr("evenhang.api.language.LANGUAGES", Asked())
    assert _lookup("zh-hant-cn-x-private1-private2", set()) is None
    assert tried == ["zh-hant-cn-x-private1-private2", "zh-hant-cn-x-private1", "zh-hant-cn", "zh-hant", "zh"]


@pytest.mark.parametrize(
    "field",
    [
        "de;q=2", "de;q=1.5", "de;q=-1", "de;q=nan", "de;q=1e3", "de;q=0.12345", "de;q=", "de;level=1", "de_CH", "ｄｅ", "d e", "de\n",
        "de\0",        "../../de", "%64%65", "{de}", "'de'", "de" * 5, "-de", "de-", ";q=1", "q=1", "de;q=٠.٩",
    ],
)  # fmt: skip
def test_what_does_not_fit_the_grammar_is_passed_over(field: str) -> None:
    assert language_of(field) == "en"
    assert language_of(f"{field}, ja") == "ja"


def test_a_long_field_is_read_up_to_its_limits() -> None:
    assert language_of("fr," + "x" * MOST_CHARACTERS) == "fr"
    assert language_of("zh," * MOST_RANGES + "fr") == "en"
    assert language_of(" " * (MOST_CHARACTERS - 2) + "de") == "de"
    assert language_of(" " * (MOST_CHARACTERS - 1) + "de") == "en"
    assert language_of("de;q=" + "0" * 10_000_000) == "en"


@given(st.one_of(st.text(max_size=200), st.from_regex(r"([a-zA-Z*-]{1,6}(;q=[0-9.]{0,5})?,? ?){0,8}", fullmatch=True)))
def test_any_field_gets_a_language_that_it_does_not_refuse(field: str) -> None:
    found = language_of(field)
    assert found in LANGUAGES
    refused = {part.partition(";")[0].strip().lower() for part in field.split(",") if part.replace(" ", "").lower().endswith(";q=0")}
    named = [part.partition(";")[0].strip().lower() for part in field.split(",")]
    if found in refused and named.count(found) == 1:
        assert found == DEFAULT
        assert set(LANGUAGES) <= refused
