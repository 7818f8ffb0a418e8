"""Bodies that mean harm, or are a slip: each gets a clean problem with a pointer at the fault."""

import json
import time
from typing import Any

import pytest

QUOTES = "/v1/members/alder-lane/quotes"
JSON = "Content-Type: application/json"


def sized(height: str) -> bytes:
    """A quote's body with the height written as that JSON."""
    return b'{"work": {"medium": "oil", "size": {"height": ' + height.encode() + b', "width": "80", "unit": "cm"}}}'


NO_AMOUNTS = [
    "60", "60.5", "6e1", "1e999999999", "NaN", "Infinity", "-Infinity", '"NaN"', '"sNaN"', '"Infinity"', '"-Infinity"', '"1e3"',
    '"1e999999999"', '"1_000"', '"\uff16\uff10"', '"\u0666\u0660"', '"60\\n"', '" 60"', '"60 "', '"+60"', '"-60"', '"-0"', '"60."', '".5"',
    '"60,5"', '"0x60"', '"60.1234567"', '"1234567890123"', '""', "true", "null", "[]", "{}", '"\\u0000"', '"6\\u00000"',
]  # fmt: skip


@pytest.mark.parametrize("height", NO_AMOUNTS)
def test_what_is_no_amount_is_refused_where_it_stands(send: Any, height: str) -> None:
    answer = send("POST", QUOTES, sized(height), JSON)
    problem = answer.problem()
    assert answer.status == 400
    if height not in ("NaN", "Infinity", "-Infinity"):  # no JSON at all
        assert problem["errors"][0]["pointer"] == "#/work/size/height"


def test_a_number_is_told_why(send: Any) -> None:
    assert "binary float" in send("POST", QUOTES, sized("60.5"), JSON).problem()["errors"][0]["detail"]


@pytest.mark.parametrize(
    ("name", "pointer"),
    [
        ("a%41", "#/a%2541"), ("a b", "#/a%20b"), ("\u00e4", "#/%C3%A4"), ('"', "#/%22"), ("a\n", "#/a%0A"), ("a/~", "#/a~1~0"), ("", "#/"),
        ("a - at `$.x", "#/a%20-%20at%20%60$.x"), ("\u65e5" * 400, "#/" + "%E6%97%A5" * 55),
    ],
)  # fmt: skip
def test_a_pointer_is_a_fragment_of_an_address(send: Any, name: str, pointer: str) -> None:
    """RFC 6901, section 6: percent-encoded, and cut between two signs where a name is long."""
    problem = send("POST", QUOTES, json.dumps({"work": {"medium": "oil"}, name: 1}).encode(), JSON).problem()
    assert problem["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize(
    ("path", "body", "pointer"),
    [
        ("alder-lane/quotes", {"work": {"medium": "oil\n"}}, "#/work/medium"),
        ("alder-lane/ladders", {"formats": ["eight-ten\n"]}, "#/formats/0"),
        ("bracken-gouge/editions", {"work": {"medium": "linocut"}, "numbers": 3, "run_costs": [{"name": "ink\n"}]}, "#/run_costs/0/name"),
    ],
)
def test_a_name_has_no_line_end(send: Any, path: str, body: dict[str, Any], pointer: str) -> None:
    """To some readers of patterns the end of a text is also the place before its last line feed."""
    answer = send("POST", f"/v1/members/{path}", json.dumps(body).encode(), JSON)
    assert (answer.status, answer.problem()["errors"][0]["pointer"]) == (400, pointer)


def test_null_says_the_same_as_nothing(send: Any) -> None:
    """Every field that may be left out, also one whose default is no null; in a list a null is a fault."""
    plain = {"work": {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}}}
    nulls = {"view": None, "as_of": None, "rules_digest": None, "try": None}
    work = {**plain["work"], **dict.fromkeys(("title", "panels", "format", "shape", "grade", "extras", "costs", "hours"))}
    said = send("POST", QUOTES, json.dumps({**nulls, "work": work}).encode(), JSON)
    assert (said.status, said.body) == (200, send("POST", QUOTES, json.dumps(plain).encode(), JSON).body)
    needed = send("POST", QUOTES, json.dumps({"work": {**plain["work"], "medium": None}}).encode(), JSON)
    assert needed.problem()["errors"][0]["pointer"] == "#/work/medium"
    for unknown in ("", "colour"):  # requests are closed
        refused = send("POST", QUOTES, json.dumps({**plain, "view": None, unknown: None}).encode(), JSON)
        assert (refused.status, refused.problem()["errors"][0]["pointer"]) == (400, f"#/{unknown}")
    listed = send("POST", QUOTES, json.dumps({"work": {**plain["work"], "extras": [None]}}).encode(), JSON)
    assert listed.problem()["errors"][0]["pointer"] == "#/work/extras/0"


NO_JSON = [
    b"", b" ", b"{", b"}", b"[" * 100_000, b'{"work":' * 100_000, b"1" * 5_000, b"NaN", b"{'work': 1}", b'{"work": "\xff"}',
    b'{"w\xf0rk": {}}', b"\xef\xbb\xbf{}", b"\x00", b'{"work": {}} {"work": {}}', b'{"work": {"medium": "oil",}}', b"\xff\xfe{\x00}\x00",
]  # fmt: skip


@pytest.mark.parametrize("body", NO_JSON, ids=range(len(NO_JSON)))
def test_what_is_no_json_is_refused(send: Any, body: bytes) -> None:
    answer = send("POST", QUOTES, body, JSON)
    assert answer.problem()["type"] == "/problems/malformed-request"
    assert answer.status == 400


@pytest.mark.parametrize(
    "body",
    [
        b'{"work": {"medium": "oil"}, "work": {"medium": "oil"}}', b'{"view": "public", "view": "member", "work": {"medium": "oil"}}',
        b'{"work": {"medium": "oil", "size": {"height": "1", "height": "60", "width": "80", "unit": "cm"}}}',
        b'{"work": {"medium": "oil", "medi\\u0075m": "drawing"}}',
    ],
)  # fmt: skip
def test_a_key_said_twice_is_refused(send: Any, body: bytes) -> None:
    assert "twice" in send("POST", QUOTES, body, JSON).problem()["detail"]


def test_keys_that_stand_in_several_objects_are_none_said_twice(send: Any) -> None:
    work = {"medium": "oil", "panels": [{"height": "60", "width": "80", "unit": "cm"}, {"height": "60", "width": "80", "unit": "cm"}]}
    assert send("POST", QUOTES, json.dumps({"work": work}).encode(), JSON).status == 200


def test_half_a_character_is_no_text(send: Any) -> None:
    """A lone surrogate cannot be sent back in UTF-8."""
    body = b'{"works": [{"id": "\\ud800", "work": {"medium": "oil"}, "price": {"amount": "1.00", "currency": "EUR"}}]}'
    assert send("POST", "/v1/members/alder-lane/checks", body, JSON).status == 400


@pytest.mark.parametrize(
    ("body", "pointer", "words"),
    [
        (b'{"work": {"medium": "oil"}, "veiw": "public"}', "#/veiw", 'Is "view" meant?'),
        (b'{"work": {"medium": "oil", "hieght": "60"}}', "#/work/hieght", 'There is no field "hieght" here.'),
        (b'{"view": "public"}', "#/work", '"work" is missing.'),
        (b'{"work": {"medium": "oil"}, "view": "everything"}', "#/view", "Expected one of member, public."),
        (b'{"work": {"medium": 7}}', "#/work/medium", "Expected a text, not a whole number."),
        (b'{"work": {"medium": "OIL"}}', "#/work/medium", "lower-case letters"),
        (b'{"work": {"medium": "' + b"o" * 64 + b'"}}', "#/work/medium", "at most 63"),
        (b'{"work": {"medium": "oil", "extras": [{"name": "x", "quantity": 0}]}}', "#/work/extras/0/quantity", "at least 1"),
        (b'{"work": {"medium": "oil"}, "as_of": "2026-02-30"}', "#/as_of", "Expected a day"),
        (b'{"work": {"medium": "oil"}, "rules_digest": "abc"}', "#/rules_digest", "64 lower-case"),
        (b"[]", "#", "Expected an object, not a list."),
        (b'{"work": {"medium": "oil"}, "a/b~c": 1}', "#/a~1b~0c", "no field"),
        (b'{"work": {"medium": "oil"}, "' + b"x" * 5_000 + b'": 1}', "#/" + "x" * 499, "no field"),
    ],
)
def test_the_fault_is_said_in_words_that_point_at_it(send: Any, body: bytes, pointer: str, words: str) -> None:
    answer = send("POST", QUOTES, body, JSON)
    fault = answer.problem()["errors"][0]
    assert answer.status == 400
    assert fault["pointer"] == pointer
    assert words in fault["detail"]


def test_an_integer_may_be_written_with_a_point(send: Any) -> None:
    """1.0 is an integer to JSON Schema (draft 2020-12, section 4.2.3 of the validation vocabulary's types)."""
    work = '{"medium": "oil", "format": "30f", "extras": [{"name": "gilded-edge", "quantity": 2.0}]}'
    whole, pointed = (send("POST", QUOTES, f'{{"work": {work.replace("2.0", n)}}}'.encode(), JSON) for n in ("2", "2.0"))
    assert (whole.status, whole.body) == (pointed.status, pointed.body)


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        (("Content-Type: text/plain",), 415), (("Content-Type: application/x-www-form-urlencoded",), 415), (("Content-Type: ",), 415),
        ((), 415), ((JSON, JSON), 415), (("Content-Type: application/json; charset=latin-1",), 415),
        (("Content-Type: application/json; charset=UTF-8",), 200), (("content-type: APPLICATION/JSON",), 200),
        ((JSON, "Content-Encoding: gzip"), 415), ((JSON, "Content-Encoding: identity"), 200),
    ],
)  # fmt: skip
def test_only_json_in_utf8_is_read(send: Any, headers: tuple[str, ...], status: int) -> None:
    answer = send("POST", QUOTES, sized('"60"'), *headers)
    assert answer.status == status, answer.raw
    if status == 415:
        answer.problem()
        assert {"accept", "accept-encoding"} & set(answer.headers)


def test_no_body_at_all(send: Any) -> None:
    answer = send("POST", QUOTES)
    assert (answer.status, answer.problem()["detail"]) == (400, "A body is needed here, and there is none.")


def test_a_huge_length_is_refused_before_a_byte_is_read(send: Any) -> None:
    started = time.monotonic()
    head = f"POST {QUOTES} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n{JSON}\r\nContent-Length: 99999999999\r\n\r\n"
    answer = send(raw=head.encode())
    assert answer.status == 413
    assert answer.problem()["type"] == "/problems/too-large"
    assert time.monotonic() - started < 5


def test_a_body_without_a_length_is_bounded_too(send: Any) -> None:
    head = f"POST {QUOTES} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n{JSON}\r\nTransfer-Encoding: chunked\r\n\r\n"
    piece = b"100000\r\n" + b" " * 0x100000 + b"\r\n"
    answer = send(raw=head.encode() + piece * 9)
    assert answer.status == 413
    answer.problem()


def test_chunks_within_the_bound_are_read(send: Any) -> None:
    head = f"POST {QUOTES} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n{JSON}\r\nTransfer-Encoding: chunked\r\n\r\n"
    pieces = b"".join(b"1\r\n" + bytes([byte]) + b"\r\n" for byte in sized('"60"'))
    assert send(raw=head.encode() + pieces + b"0\r\n\r\n").status == 200
