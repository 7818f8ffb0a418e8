"""Batches over a running server: one answer however they are sent, what a key reaches, and a row for whatever comes."""

import hashlib
import json
import tempfile
import tracemalloc
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import date
from decimal import Decimal
from typing import Any

import httpx
import msgspec
import pytest
from litestar import Litestar

from evenhang.api import batches
from evenhang.api.access import Key, Keyring
from evenhang.api.batches import BatchRow, BatchWork, quote_batch
from evenhang.api.calls import Call
from evenhang.api.examples import lines_from, load_examples
from evenhang.api.limits import LONGEST_LINE, MOST_BYTES
from evenhang.api.replies import NDJSON
from evenhang.app import create_app
from evenhang.engine.money import Money
from evenhang.rulebook.book import RuleBook

DAY = date(2026, 5, 1)
OIL = {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}, "costs": [{"name": "frame"}], "hours": "20"}
LINES = {"content-type": NDJSON}


def of(member: str, work: Any = OIL, **more: Any) -> dict[str, Any]:
    return {"id": f"of-{member}", "member": member, "work": work, **more}


def sent(client: httpx.Client, *rows: Any, **headers: str) -> list[Any]:
    """The lines of the answer to these lines; a text or bytes stand for themselves."""
    body = b"\n".join(r if isinstance(r, bytes) else json.dumps(r).encode() for r in rows)
    answer = client.post("/v1/quotes", content=body, headers={**LINES, **headers})
    assert (answer.status_code, answer.headers["content-type"]) == (200, NDJSON)
    return [json.loads(line) for line in answer.content.splitlines()]


@pytest.mark.parametrize("example", [e for e in load_examples() if e.operation == "quoteBatch" and e.status == 200], ids=lambda e: e.name)
def test_a_list_and_its_lines_get_the_same_rows(client: httpx.Client, example: Any) -> None:
    asked = {"list": (example.request, "application/json"), "lines": (lines_from(example.body()), NDJSON)}
    got = {
        (name, accept): client.post("/v1/quotes", content=body, headers={"content-type": kind, "accept": accept})
        for name, (body, kind) in asked.items()
        for accept in ("application/json", NDJSON, "*/*")
    }
    assert got["list", "application/json"].content == got["lines", "application/json"].content == got["list", "*/*"].content
    assert got["list", NDJSON].content == got["lines", NDJSON].content == got["lines", "*/*"].content == example.others[NDJSON]
    *rows, last = [json.loads(line) for line in example.others[NDJSON].splitlines()]
    assert got["list", "*/*"].json() == {"rows": rows, **last}


def test_a_cut_answer_is_seen(client: httpx.Client) -> None:
    """The digest is over the rows as they stand on the wire, so any line that is missing or changed is noticed."""
    whole = client.post("/v1/quotes", content=b"\n".join(json.dumps(of("alder-lane")).encode() for _ in range(3)), headers=LINES).content
    *rows, last = whole.splitlines(keepends=True)
    summary = json.loads(last)["summary"]
    assert summary["digest"] == hashlib.sha256(b"".join(rows)).hexdigest()
    assert summary["digest"] != hashlib.sha256(b"".join(rows[:-1])).hexdigest()
    assert (summary["count"], summary["faults"], len(rows)) == (3, 0, 3)
    assert summary["sums"] == [{"works": 3, "price": {"amount": "2820.00", "currency": "EUR"}}]  # 3 x 940.00, the README's oil


def test_each_row_is_the_quote_of_its_work(client: httpx.Client) -> None:
    views = ("public", "member")
    rows = sent(client, *(of("alder-lane", breakdown=view, as_of=day) for view in views for day in ("2026-05-01", "2025-06-01")))
    for row, (view, day) in zip(rows, [(v, d) for v in views for d in ("2026-05-01", "2025-06-01")], strict=False):
        alone = client.post("/v1/members/alder-lane/quotes", json={"work": OIL, "view": view, "as_of": day}).json()
        assert row["quote" if view == "public" else "member_quote"] == alone
        assert (row["price"], row["as_of"], row["rules_digest"]) == (alone["price"], day, alone["rules"]["digest"])
    totals = sent(client, of("alder-lane"))[0]
    assert totals == {name: rows[0][name] for name in ("row", "id", "member", "as_of", "rules_digest", "price")}


REFUSED: list[tuple[dict[str, Any], str, str]] = [
    (of("nobody"), "#/member", "not-found"),
    (of("alder-lane", {"medium": "fresco"}), "#/work/medium", "unknown-name"),
    (of("alder-lane", {"medium": "oil"}), "#/work/size", "missing-figure"),
    (of("alder-lane", as_of="2001-01-01"), "#/as_of", "no-rules-in-force"),
    (of("alder-lane", rules_digest="0" * 64), "#/rules_digest", "rules-moved"),
]
UNFIT: list[tuple[bytes, str | None, str, str]] = [
    (json.dumps(of("alder-lane", {**OIL, "hours": 20})).encode(), "of-alder-lane", "#/work/hours", "invalid"),
    (json.dumps(of("alder-lane", colour="red")).encode(), "of-alder-lane", "#/colour", "invalid"),
    (json.dumps(of("a/../b")).encode(), "of-a/../b", "#/member", "invalid"),
    (b'{"id": "a", "id": "b"}', "b", "#", "malformed-request"),
    (b'{"id": "', None, "#", "malformed-request"),
    (b"[]", None, "#", "invalid"),
    (b"null", None, "#", "invalid"),
    (b"NaN", None, "#", "malformed-request"),
    (b"[" * 60_000, None, "#", "malformed-request"),
    (b'{"work":' * 8_000, None, "#", "malformed-request"),
    (b'{"id": "\xff"}', None, "#", "malformed-request"),
    (b'{"id": "\\ud800"}', None, "#", "malformed-request"),
    (b"1" * 60_000, None, "#", "malformed-request"),
    (b"\x00" * 100, None, "#", "malformed-request"),
    (b"\xef\xbb\xbf{}", None, "#", "malformed-request"),
    (b"<a/>", None, "#", "malformed-request"),
    (b'{"id": "' + b"x" * 70_000 + b'"}', None, "#", "line-too-long"),
    (json.dumps(of("alder-lane", id="x" * 65)).encode().replace(b'"id": "of-alder-lane", ', b""), None, "#/id", "invalid"),
]


def test_one_bad_row_never_sinks_the_rest(client: httpx.Client) -> None:
    """A good line stands after each bad one, and each bad one has its reason and its number."""
    good = of("alder-lane")
    bad = [*((json.dumps(row).encode(), row["id"], at, code) for row, at, code in REFUSED), *UNFIT]
    *rows, last = sent(client, *(line for body, *_ in bad for line in (body, good)))
    assert [row["row"] for row in rows] == list(range(1, 2 * len(bad) + 1))
    assert [row["price"]["amount"] for row in rows[1::2]] == ["940.00"] * len(bad)
    for row, (body, name, at, code) in zip(rows[::2], bad, strict=True):
        assert (row.get("id"), row["reason"]["pointer"], row["reason"]["code"]) == (name, at, code), body[:80]
        assert len(json.dumps(row)) < 700, "refused input is never echoed at length"
    assert last["summary"]["faults"] == len(bad)


def test_a_list_refuses_what_is_outside_the_contract_and_reasons_about_the_rest(client: httpx.Client) -> None:
    answer = client.post("/v1/quotes", json={"works": [row for row, _, _ in REFUSED]}).json()
    assert [(row["reason"]["pointer"], row["reason"]["code"]) for row in answer["rows"]] == [(at, code) for _, at, code in REFUSED]
    unfit = client.post("/v1/quotes", json={"works": [of("alder-lane"), of("alder-lane", {**OIL, "hours": 20})]})
    assert (unfit.status_code, unfit.json()["errors"][0]["pointer"]) == (400, "#/works/1/work/hours")
    many = client.post("/v1/quotes", json={"works": [of("alder-lane", {"medium": "oil"})] * 10_001})
    assert (many.status_code, many.json()["errors"][0]["pointer"]) == (400, "#/works")
    assert client.post("/v1/quotes", json={"works": []}).json()["summary"]["count"] == 0


def test_the_day_of_a_list_holds_where_a_work_names_none(client: httpx.Client) -> None:
    works = [of("alder-lane"), of("alder-lane", as_of="2025-06-01")]
    rows = client.post("/v1/quotes", json={"as_of": "2026-04-30", "works": works}).json()["rows"]
    assert [row["as_of"] for row in rows] == ["2026-04-30", "2025-06-01"]


def test_blank_lines_count_and_get_no_row(client: httpx.Client) -> None:
    assert [row.get("row") for row in sent(client, b"", of("alder-lane"), b"\r", b"   ", of("alder-lane"), b"")] == [2, 5, None]
    assert sent(client, b"\n")[0]["summary"]["count"] == 0


def test_what_is_refused_before_a_line_is_read(client: httpx.Client) -> None:
    post = {"url": "/v1/quotes", "content": b"{}"}
    assert client.post(**post, headers={"content-type": "text/csv"}).status_code == 415
    assert client.post(**post, headers={**LINES, "accept": "text/csv"}).status_code == 406
    assert client.post("/v1/quotes?all=1", content=b"{}", headers=LINES).json()["errors"][0]["pointer"] == "#/all"
    assert client.post("/v1/quotes", content=b"", headers=LINES).json()["summary"]["count"] == 0
    assert client.post("/v1/quotes", content=b" " * (MOST_BYTES + 1), headers={"content-type": "application/json"}).status_code == 413
    assert client.get("/v1/quotes").headers["allow"] == "OPTIONS, POST"


KEYS = Keyring(
    Key(name, hashlib.sha256(name.encode()).hexdigest(), scopes, members)
    for name, scopes, members in [
        ("desk", ("desk",), ("alder-lane",)),
        ("books", ("books",), ("alder-lane",)),
        ("steward", ("steward",), None),
    ]
)


def test_a_key_prices_the_works_of_its_members_alone(book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]]) -> None:
    rows = [of("alder-lane"), of("bracken-gouge"), of("nobody"), of("alder-lane", breakdown="public"), of("alder-lane", breakdown="member")]
    with serve(create_app(book, lambda: DAY, keys=KEYS)) as address, httpx.Client(base_url=address, trust_env=False) as client:
        got = {name: sent(client, *rows, authorization=f"Bearer {name}") for name in ("desk", "books")}
        for key, status in (("steward", 403), ("nobody", 401)):
            headers = {**LINES, "authorization": f"Bearer {key}"}
            assert client.post("/v1/quotes", content=b"{}", headers=headers).status_code == status
    codes = {name: [row["reason"]["code"] if "reason" in row else "price" for row in lines[:-1]] for name, lines in got.items()}
    assert codes["desk"] == ["price", "not-found", "not-found", "price", "insufficient-scope"]
    assert codes["books"] == ["price", "not-found", "not-found", "price", "price"]
    assert got["desk"][4]["reason"]["pointer"] == "#/breakdown"
    hidden, none = (got["desk"][i]["reason"] for i in (1, 2))
    assert hidden == none, "what the key may not see is as if it were not there"


def rows_of(book: RuleBook, body: bytes) -> list[Any]:
    """The lines of the answer, without a server."""
    with tempfile.SpooledTemporaryFile() as file:
        file.write(body)
        file.seek(0)
        answer = quote_batch(Call(book, "", DAY, file, media_type=NDJSON, content_type=NDJSON))
        return [json.loads(line) for line in b"".join(answer.body).splitlines()]


def test_a_fault_of_ours_in_one_row_is_logged_and_sinks_no_other(
    book: RuleBook, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def burst(rules: Any, work: Any, on: date) -> Any:
        if work.title == "burst":
            raise ZeroDivisionError("inside")
        return price(rules, work, on)

    price = batches.price_work
    monkeypatch.setattr(batches, "price_work", burst)
    lines = [json.dumps(of("alder-lane", {**OIL, "title": title})).encode() for title in ("before", "burst", "after")]
    rows = rows_of(book, b"\n".join(lines))
    assert ["reason" in row for row in rows] == [False, True, False, False]
    assert rows[1]["reason"]["code"] == "internal-error"
    assert "inside" not in json.dumps(rows)
    assert "inside" in caplog.text


def test_more_lines_than_are_read_are_said_to_be_left_out(book: RuleBook, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(batches, "MOST_LINES", 2)
    rows = rows_of(book, b"\n".join([json.dumps(of("alder-lane")).encode()] * 5))
    assert [row.get("reason", {}).get("code") for row in rows] == [None, None, "too-many-lines", None]
    assert rows[-1]["summary"]["count"] == 3


def test_sums_keep_currencies_apart() -> None:
    tally = batches._Tally()
    for amount, currency in (("0.10", "EUR"), ("0.20", "EUR"), ("1.005", "KWD"), ("7", "JPY")):
        tally.take(BatchRow(1, price=Money(Decimal(amount), currency)), b"{}")
    summed = [(each.price.currency, each.works, str(each.price.amount)) for each in tally.summary().sums]
    assert summed == [("EUR", 2, "0.30"), ("JPY", 1, "7"), ("KWD", 1, "1.005")]


def test_no_more_than_a_row_is_held(book: RuleBook) -> None:
    """160 quotes with a member's breakdown are over 800 kB on the wire, and never 300 kB at any time, the body in a file."""
    body = b"".join(json.dumps(of("alder-lane", breakdown="member")).encode() + b"\n" for _ in range(160))
    with tempfile.SpooledTemporaryFile(max_size=1) as file:
        file.write(body)
        file.seek(0)
        pieces = quote_batch(Call(book, "", DAY, file, media_type=NDJSON, content_type=NDJSON)).body
        next(pieces)
        tracemalloc.start()
        size = sum(len(piece) for piece in pieces)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    assert size > 800_000
    assert peak < 300_000


def test_a_line_at_its_bound_is_read(client: httpx.Client) -> None:
    line = json.dumps(of("alder-lane")).encode()
    fits = line[:-1] + b" " * (LONGEST_LINE - len(line)) + b"}"
    assert len(fits) == LONGEST_LINE
    assert [row.get("reason", {}).get("code") for row in sent(client, fits, fits[:-1] + b" }")] == [None, "line-too-long", None]


def test_the_lines_that_the_contract_shows_are_its_works() -> None:
    for example in load_examples():
        if example.operation == "quoteBatch" and example.status == 200:
            for line in lines_from(example.body()).splitlines():
                msgspec.json.decode(line, type=BatchWork, dec_hook=lambda kind, value: kind(value))
