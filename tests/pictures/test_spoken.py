"""Pictures speak the language that is asked for, as the data of the same request do; numbers and amounts are written in it too."""

import json
import re
import xml.etree.ElementTree as ElementTree
from decimal import Decimal
from pathlib import Path
from typing import Any, get_args

import httpx
import pytest
from babel.messages.pofile import read_po

import evenhang.demo
from evenhang.api.language import LANGUAGES
from evenhang.api.pictured import voice_in
from evenhang.api.translation import FOLDER
from evenhang.engine.checks.findings import FindingCode
from evenhang.pictures.canvas import SVG
from evenhang.pictures.checks_words import COUNTED

LISTED = json.loads((Path(evenhang.demo.__file__).parent / "catalogue.json").read_text())["alder-lane"]
WORKS = LISTED["works"] if isinstance(LISTED, dict) else LISTED
EUROS = {"amount": "1000.00", "currency": "EUR"}
ASKED: dict[str, Any] = {
    "checks": {"works": WORKS, "mend": ["raise-only", "least-change"]},
    "ladders": {},
    "reviews": {"works": WORKS},
    "settlements": {"outlet": "quay-gallery", "price": EUROS, "discount_percent": "10"},
}
TRANSLATED = LANGUAGES[1:]


def drawn_in(client: httpx.Client, what: str, language: str) -> httpx.Response:
    headers = {"accept": SVG, "accept-language": language}
    answer = client.post(f"/v1/members/alder-lane/{what}", json={"as_of": "2026-05-01", **ASKED[what]}, headers=headers, timeout=60)
    assert answer.status_code == 200, answer.text
    return answer


def texts_of(picture: bytes) -> list[str]:
    """The title, the words, and everything that is written in the picture."""
    root = ElementTree.fromstring(picture)
    return [element.text or "" for element in root.iter() if element.tag.partition("}")[2] in ("title", "desc", "text")]


def english_in(texts: list[str], language: str) -> list[str]:
    """Texts that have a translation and stand there in English: whole ones, and the words between the figures of longer ones."""
    with (FOLDER / language / "LC_MESSAGES" / "evenhang.po").open("rb") as file:
        messages = {str(entry.id): str(entry.string) for entry in read_po(file, locale=language) if entry.id}
    plain = [text for text, said in messages.items() if "{" not in text and text != said and len(text.split()) > 1]
    parts = [part for text in messages if "{" in text for part in re.split(r"{[a-z_]+}", text) if len(part.split()) > 2]
    found = [part for part in (*plain, *parts) if any(re.search(rf"(?<!\w){re.escape(part)}(?!\w)", text) for text in texts)]
    return found + [text for text in texts if len(text.split()) == 1 and messages.get(text, text) != text]


@pytest.mark.parametrize("what", ASKED)
@pytest.mark.parametrize("language", TRANSLATED)
def test_everything_that_a_picture_says_is_in_the_language_asked_for(client: httpx.Client, what: str, language: str) -> None:
    answer = drawn_in(client, what, language)
    assert answer.headers["content-language"] == language
    assert {"Accept", "Accept-Language"} <= set(answer.headers["vary"].split(", "))
    texts = texts_of(answer.content)
    assert english_in(texts, language) == []
    assert texts[0] != texts_of(drawn_in(client, what, "en").content)[0]


@pytest.mark.parametrize("what", ASKED)
def test_in_english_the_guard_sees_english(client: httpx.Client, what: str) -> None:
    """The test above can fail: the English picture is full of what it looks for."""
    answer = drawn_in(client, what, "en")
    assert answer.headers["content-language"] == "en"
    assert len(english_in(texts_of(answer.content), "de")) > 2


@pytest.mark.parametrize(
    ("language", "amount", "tick"),
    [("en", "EUR\u00a0900.00", "1,200"), ("fr", "900,00\u00a0€", "1\u202f200"), ("de", "900,00\u00a0€", "1.200"),
     ("es", "900,00\u00a0€", "1200"), ("ja", "€900.00", "1,200")],
)  # fmt: skip
def test_amounts_and_axes_are_written_as_the_language_does(client: httpx.Client, language: str, amount: str, tick: str) -> None:
    words = texts_of(drawn_in(client, "settlements", language).content)[1]
    assert amount in words
    assert voice_in(language).tick(1200.0) == tick
    assert voice_in(language).number(Decimal("1200")) == tick


def test_an_axis_shows_no_noise_of_binary_digits() -> None:
    assert voice_in("de").tick(0.1 + 0.2) == "0,3"
    assert voice_in("en").tick(12000000.0) == "12,000,000"


def test_findings_are_counted_in_words_and_every_code_has_some(client: httpx.Client) -> None:
    assert set(COUNTED) == set(get_args(FindingCode))
    words = texts_of(drawn_in(client, "checks", "en").content)[1]
    assert "Same size at different prices: 1; " in words
    assert "Larger works that ask less: 1; " in words
