"""A running service in each language: the expected sentences, and the same bytes in everything that is not a text for people."""

import json
import re
from typing import Any

import httpx
import pytest

from evenhang.api.examples import Example, load_examples
from evenhang.api.language import LANGUAGES
from evenhang.api.operations import OPERATIONS
from evenhang.engine.royalty_places import PLACES
from evenhang.rulebook.book import RuleBook

NB = "\u00a0"
ROWS = {op.id: op for op in OPERATIONS}
# A set of keys is in no language.
EXAMPLES = [example for example in load_examples() if not example.headers and example.operation != "readOfferKeys"]
# Every field whose text is for people. A title is one in a problem alone: elsewhere it is the member's own.
TEXTS = {
    "label",
    "working",
    "statement",
    "price_display",
    "caution",
    "note",
    "yield_note",
    "decision",
    "exponent_from",
    "percentile_kind",
    "quantile_kind",
    "notes",
    "detail",
    "mend",
    "not_looked_at",
    "source",
}
FRAMED = {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}, "costs": [{"name": "frame"}], "hours": "20"}


def asked(client: httpx.Client, example: Example, language: str) -> httpx.Response:
    op = ROWS[example.operation]
    sent = {"params": example.body()} if op.method == "GET" else {"content": example.request}
    headers = {"content-type": "application/json", "accept-language": language}
    return client.request(op.method, example.path(op.path, op.base), headers=headers, **sent)


def split(value: Any, texts: list[str], own: frozenset[str]) -> Any:
    """`value` without its texts for people, which go to `texts`."""
    if isinstance(value, list):
        return [split(item, texts, own) for item in value]
    if not isinstance(value, dict):
        return value
    said = [text for key, text in value.items() if key in own for text in (text if isinstance(text, list) else [text])]
    texts += [text for text in said if isinstance(text, str)]
    return {key: split(item, texts, own) for key, item in value.items() if key not in own}


def sentence(text: str) -> bool:
    """Whether a text has words of ours: a size or the name of a format is the same everywhere."""
    return len(re.findall("[A-Za-z]{3,}", text)) > 1


def parted(answer: httpx.Response) -> tuple[bytes, list[str]]:
    """The machine's part of an answer as bytes, and the texts."""
    texts: list[str] = []
    ours = answer.status_code != 200 or "formats" in answer.json()  # a member's title, a place's and a law's are not ours
    own = frozenset(TEXTS | ({"title"} if ours else set()))
    said = answer.json()
    said.get("summary", {}).pop("digest", None)  # of a batch: over the bytes of its rows, texts and all
    return json.dumps(split(said, texts, own)).encode(), texts


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: f"{e.operation}/{e.name}")
def test_only_texts_change_with_the_language(client: httpx.Client, example: Example) -> None:
    machine, english = parted(asked(client, example, "en"))
    for language in LANGUAGES[1:]:
        answer = asked(client, example, language)
        assert answer.status_code == example.status
        there, texts = parted(answer)
        assert there == machine
        assert len(texts) == len(english)
        spoken = answer.headers["content-language"]
        assert (texts == english) is (spoken == "en" or not any(map(sentence, english)))
        assert "accept-language" in answer.headers["vary"].lower()


def own_words(book: RuleBook) -> set[str]:
    """The words that are not ours: names and titles in the members' rules, units and currencies."""
    words = "EUR JPY KWD ISO RFC application json size panels format oval Figure Paysage Marine Theil Sen Hyndman Fan"
    found = set(f"{words} evenhang new offer key earlier prices listed earning bands".split())
    for place in PLACES:  # a table of laws, quoted as they were read
        found |= set(re.findall(r"[A-Za-z]{3,}", " ".join((place.title, place.source, place.note, place.place, place.currency))))
    for sets in book.segments.values():
        for rules in sets:
            stages = rules.rules.bespoke.stages if rules.rules.bespoke else ()
            tables = (rules.rules.media, rules.rules.grades, rules.rules.extras, rules.rules.costs, rules.rules.outlets)
            titles = [str(getattr(row, word, "")) for table in tables for row in table.values() for word in ("title", "unit")]
            text = " ".join(
                [
                    rules.rules.title,
                    rules.member,
                    *titles,
                    *(stage.title for stage in stages),
                    *(band.title for band in rules.rules.bands),
                    *(name for table in tables for name in table),
                ]
            )
            found |= set(re.findall(r"[A-Za-z]{3,}", text))
    return found


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: f"{e.operation}/{e.name}")
def test_no_english_word_is_left_in_japanese(client: httpx.Client, book: RuleBook, example: Example) -> None:
    """Japanese has no Latin words of its own, so one that is nobody's name was forgotten."""
    answer = asked(client, example, "ja")
    if answer.headers["content-language"] == "ja":
        body = example.body()
        sent = set(re.findall(r"[A-Za-z]{3,}", json.dumps(body)))
        left = [text for text in parted(answer)[1] if set(re.findall(r"(?<![0-9a-f])[A-Za-z]{3,}", text)) - own_words(book) - sent]
        assert left == []


@pytest.mark.parametrize(
    ("language", "statement"),
    [
        ("en", f"This work is EUR{NB}940.00, the same wherever you buy it."),
        ("fr", f"Cette œuvre est à 940,00{NB}€, au même prix où que vous l'achetiez."),
        ("de", f"Dieses Werk kostet 940,00{NB}€, überall zum selben Preis."),
        ("es", f"Esta obra cuesta 940,00{NB}€, lo mismo la compre donde la compre."),
        ("ja", "こちらの作品は€940.00で、どちらでお求めいただいても同じ価格です。"),
        ("pt-BR, sv;q=0.5", f"This work is EUR{NB}940.00, the same wherever you buy it."),
    ],
)
def test_the_sentence_of_the_front_desk(client: httpx.Client, language: str, statement: str) -> None:
    asked = {"work": FRAMED, "as_of": "2026-05-01", "view": "member"}
    answer = client.post("/v1/members/alder-lane/quotes", json=asked, headers={"accept-language": language})
    assert answer.json()["statement"] == statement
    assert answer.json()["lines"][0]["label"] == "Oil on linen, 60 x 80 cm"  # the member's own words
    again = client.post("/v1/members/alder-lane/quotes", json=asked, headers={"accept-language": language})
    assert again.content == answer.content


def test_workings_are_said_with_the_languages_decimal_mark(client: httpx.Client) -> None:
    asked = {"work": FRAMED, "as_of": "2026-05-01", "view": "member"}
    answer = client.post("/v1/members/alder-lane/quotes", json=asked, headers={"accept-language": "de"}).json()
    assert [line["working"] for line in answer["lines"]] == [
        "4800 cm2 x 0,17 = 816, gehalten auf dem Preis des teuersten kleineren Formats: 840",
        "61, damit es auch in lantern-fair wieder hereinkommt",
        "940,83 auf 940",
    ]
    assert [line["amount"]["amount"] for line in answer["lines"]] == ["840.00", "100.83", "-0.83"]


def test_a_problem_speaks_one_language(client: httpx.Client) -> None:
    german = {"accept-language": "de"}
    refused = client.post("/v1/members/alder-lane/quotes", json={"work": {"medium": "fresco"}}, headers=german)
    assert refused.json()["title"] == "Diese Regeln kennen diesen Namen nicht"
    assert refused.json()["detail"] == "Diese Regeln kennen „fresco“ nicht (Technik). Hier bekannt: drawing, oil, plein-air."
    assert refused.headers["content-language"] == "de"
    # What the reading of the body says comes from its library in English, and then the whole problem is English.
    malformed = client.post("/v1/members/alder-lane/quotes", json={"work": 5}, headers=german)
    assert (malformed.status_code, malformed.headers["content-language"]) == (400, "en")
    assert malformed.json()["title"] == "The request does not fit the contract"
    nowhere = client.get("/v1/nowhere", headers=german)
    assert (nowhere.json()["title"], nowhere.headers["content-language"]) == ("Hier ist nichts", "de")


def test_each_language_is_a_copy_of_its_own(client: httpx.Client) -> None:
    """RFC 9110, section 8.8.3: a strong tag is that of one representation, in its language and its coding."""
    headers = [{"accept-language": language, "accept-encoding": coding} for language in LANGUAGES for coding in ("identity", "gzip", "br")]
    answers = [client.get("/v1/formats?unit=cm", headers=asked) for asked in headers]
    assert len({answer.headers["etag"] for answer in answers}) == len(headers)
    for asked, answer in zip(headers, answers, strict=True):
        assert answer.headers["content-language"] == asked["accept-language"]
        assert answer.headers.get("content-encoding", "identity") == asked["accept-encoding"]
        assert answer.headers["vary"] == "Accept-Language, Accept-Encoding"
        again = client.get("/v1/formats?unit=cm", headers={**asked, "if-none-match": answer.headers["etag"]})
        assert (again.status_code, again.headers["vary"], again.headers["etag"]) == (304, answer.headers["vary"], answer.headers["etag"])
    german = {**headers[6], "if-none-match": answers[0].headers["etag"]}
    assert client.get("/v1/formats?unit=cm", headers=german).status_code == 200


@pytest.mark.parametrize(
    ("path", "status", "detail"),
    [
        ("/v1/members?x=1", 400, "Die Anfrage entspricht nicht der Schnittstelle."),
        ("/v1/members?x=%ff", 400, "Die Anfrage ist kein prozentkodiertes UTF-8."),
        ("/v1/members/alder-lane/price?medium=oil&width=40", 422, "Dem Maß fehlt die Höhe. Bei Maßen steht die Höhe zuerst."),
        ("/problems/none", 404, "Diese Art von Problem gibt es nicht; /problems/ zählt sie auf."),
        ("/v1/" + "x" * 20_000, 414, "Die Adresse hat über 8000 Bytes."),
    ],
    ids=range(5),
)
def test_whoever_is_turned_away_is_told_so_in_their_language(client: httpx.Client, path: str, status: int, detail: str) -> None:
    refused = client.get(path, headers={"accept-language": "de"})
    assert (refused.status_code, refused.json()["detail"]) == (status, detail)
    assert refused.headers["content-language"] == "de"
    assert "Accept-Language" in refused.headers["vary"]


@pytest.mark.parametrize(
    "field", ["de" * 20_000, "de;q=NaN," * 3000 + "fr", "\xff\xfe", "de;q=0, en;q=0, *;q=0", "{0.__class__}", "../../etc"]
)
def test_hostile_fields_get_an_answer(client: httpx.Client, field: str) -> None:
    answer = client.get("/v1/members", headers={"accept-language": field.encode("latin-1")})
    assert answer.status_code in (200, 431)  # the edge bounds the headers as a whole
    assert answer.headers["content-language"] in LANGUAGES


def test_several_fields_are_one_list(client: httpx.Client) -> None:
    """RFC 9110, section 5.3."""
    answer = client.get("/v1/members", headers=[("accept-language", "sv"), ("accept-language", "ja;q=0.5")])
    assert answer.headers["content-language"] == "ja"
