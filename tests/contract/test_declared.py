"""What is sent is declared, and what is declared is sent: statuses and header fields, by a service with keys and rates."""

import socket
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import date
from typing import Any

import httpx
import pytest
from litestar import Litestar

from evenhang.api.access import Keyring, new_key
from evenhang.api.calls import Operation
from evenhang.api.contract import contract
from evenhang.api.examples import Example, load_examples
from evenhang.api.operations import OPERATIONS
from evenhang.app import create_app
from evenhang.demo import OFFER_KEY
from evenhang.rulebook.book import RuleBook
from evenhang.sealing.keys import load_seals

DOC = contract()
GOOD = {e.operation: e for e in reversed(load_examples()) if e.status == 200}
# The fields that the document speaks of; others, such as Vary or Cache-Control, are HTTP's own affair.
TOLD = {
    "Accept", "Accept-Encoding", "Allow", "Content-Language", "ETag", "RateLimit", "RateLimit-Policy", "Retry-After", "WWW-Authenticate",
    "X-Request-Id",
}  # fmt: skip
each_operation = pytest.mark.parametrize("op", OPERATIONS, ids=lambda op: op.id)
KEYS: dict[str, str] = {}


@pytest.fixture(scope="module")
def guarded(book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]]) -> Iterator[httpx.Client]:
    """A service with a key for everything, one for the desk and one for the steward, that counts its callers."""
    made = {"all": new_key("all", ("desk", "books", "steward"), "all"), "desk": new_key("desk", ("desk",), "all")}
    made["steward"] = new_key("steward", ("steward",), ())
    KEYS.update({name: f"Bearer {token}" for name, (token, _) in made.items()})
    keyring = Keyring(key for _, key in made.values())
    seals = load_seals(OFFER_KEY, demo=True)
    app = create_app(book, lambda: date(2026, 5, 1), keys=keyring, requests_per_minute=10_000, seals=seals)
    with serve(app) as address, httpx.Client(base_url=address, trust_env=False) as client:
        yield client


def declared(op: Operation, status: int) -> dict[str, Any]:
    """The response of that status, its reference followed; KeyError where there is none."""
    found: dict[str, Any] = DOC["paths"][op.path][op.method.lower()]["responses"][str(status)]
    return DOC["components"]["responses"][found["$ref"].rpartition("/")[2]] if "$ref" in found else found


def told(answer: httpx.Response) -> set[str]:
    return {name for name in TOLD if name in answer.headers}


def ask(client: httpx.Client, op: Operation, **changed: Any) -> httpx.Response:
    """The operation's first example, by the key that may do everything, with something changed; None takes a header away."""
    example: Example = GOOD[op.id]
    headers = {"Authorization": KEYS["all"], "Content-Type": "application/json"} | changed.pop("headers", {})
    sent = {"params": example.body()} if op.method == "GET" else {"content": example.request}
    sent |= {"headers": {name: value for name, value in headers.items() if value is not None}}
    return client.request(changed.pop("method", op.method), example.path(op.path, op.base), **sent | changed)


@each_operation
def test_an_answer_has_the_fields_that_are_declared(guarded: httpx.Client, op: Operation) -> None:
    answer = ask(guarded, op)
    assert answer.status_code == 200
    assert told(answer) == set(declared(op, 200)["headers"])
    if op.cache:
        kept = ask(guarded, op, headers={"If-None-Match": answer.headers["ETag"]})
        assert kept.status_code == 304
        assert told(kept) == set(declared(op, 304)["headers"])


@each_operation
def test_a_request_field_is_declared_where_it_is_heeded(guarded: httpx.Client, op: Operation) -> None:
    found = DOC["paths"][op.path][op.method.lower()].get("parameters", [])
    names = {DOC["components"]["parameters"][p["$ref"].rpartition("/")[2]]["name"] for p in found if "$ref" in p}
    spoken = ask(guarded, op, headers={"Accept-Language": "de-CH, de;q=0.9"})
    assert (spoken.headers.get("Content-Language") == "de") is ("Accept-Language" in names)
    assert (ask(guarded, op, headers={"If-None-Match": "*"}).status_code == 304) is ("If-None-Match" in names)


# What any operation may decline with, and how.
WRONG: dict[str, dict[str, Any]] = {
    "an unknown parameter": {"params": {"utm_source": "x"}},
    "an unknown key": {"headers": {"Authorization": "Bearer of-nobody"}},
    "no key": {"headers": {"Authorization": None}},
    "the desk's key": {"headers": {"Authorization": "desk"}},
    "the steward's key": {"headers": {"Authorization": "steward"}},
    "another method": {"method": "DELETE"},
    "another kind of answer": {"headers": {"Accept": "image/png"}},
    "another kind of body": {"headers": {"Content-Type": "text/plain"}},
    "a coded body": {"headers": {"Content-Encoding": "gzip"}},
    "a long address": {"params": {"x": "x" * 8_000}},
    "many headers": {"headers": {f"X-Note-{i}": "x" for i in range(100)}},
}


def refused(client: httpx.Client, op: Operation) -> dict[int, set[str]]:
    """Everything in WRONG, sent to one operation: the fields that came with each status."""
    came: dict[int, set[str]] = {}
    for changed in WRONG.values():
        headers = dict(changed.get("headers", {}))
        if headers.get("Authorization") in KEYS:
            headers["Authorization"] = KEYS[headers["Authorization"]]
        answer = ask(client, op, **{**changed, "headers": headers})
        if answer.status_code >= 400:  # a public operation needs no key, and a GET heeds no body
            came.setdefault(answer.status_code, set()).update(told(answer))
    return came


@each_operation
def test_refusals_are_declared_with_their_fields(guarded: httpx.Client, op: Operation) -> None:
    came = refused(guarded, op)
    assert {400, 401, 405, 406, 414, 431} <= set(came)
    assert (403 in came) is (op.scope != "public")
    for status, fields in came.items():
        assert fields - set(declared(op, status)["headers"]) == set(), status


def test_what_is_declared_of_refusals_is_sent(guarded: httpx.Client) -> None:
    """No field is promised that nothing sends; test_provoked.py has the statuses that take more to meet."""
    (op,) = [op for op in OPERATIONS if op.id == "settleSale"]
    for status, fields in refused(guarded, op).items():
        assert fields == set(declared(op, status)["headers"]), status


def test_what_cannot_come_is_not_declared() -> None:
    """What asks as of no day meets no rules that could have no answer; a pin can be missed only where there is one."""
    declares = {op.id: {int(status) for status in DOC["paths"][op.path][op.method.lower()]["responses"]} for op in OPERATIONS}
    asking_no_day = {"listMembers", "readRuleSet", "checkRules", "listFormats", "readOfferKeys"}
    assert {name for name, statuses in declares.items() if 422 not in statuses} == asking_no_day
    assert {name for name, statuses in declares.items() if 404 in statuses} == {op.id for op in OPERATIONS if "{" in op.path}
    assert {op.id for op in OPERATIONS if 429 in declares[op.id]} == {op.id for op in OPERATIONS if op.limited}


@pytest.mark.parametrize(("sent", "reached"), [
    (b"GET /v1/members HTTP/1.1\r\nHost: localhost\r\n\r\n", True),
    (b"GET /v1/members HTTP/1.1\r\n\r\n", True),
    (b"GET /v1/" + b"x" * 9_000 + b" HTTP/1.1\r\nHost: localhost\r\n\r\n", True),
    (b"GET /v1/members HTPT/1.1\r\nHost: localhost\r\n\r\n", False),
    (b"GET /" + b"x" * 70_000 + b" HTTP/1.1\r\nHost: localhost\r\n\r\n", False),
], ids=["answered", "no host", "a long address", "no HTTP", "an address beyond all bounds"])  # fmt: skip
def test_what_reached_the_service_has_an_id(server: str, sent: bytes, reached: bool) -> None:
    """As the document says of X-Request-Id, and of what has none."""
    host, port = server.removeprefix("http://").split(":")
    with socket.create_connection((host, int(port)), timeout=10) as wire:
        wire.sendall(sent)
        head = wire.recv(65_536).partition(b"\r\n\r\n")[0].lower()
    assert (b"x-request-id: " in head) is reached
    assert reached or head.startswith(b"http/1.1 400 ")
    assert "Every answer to a request that reached the service, problems included, carries `X-Request-Id`" in DOC["info"]["description"]
