"""Faults of ours and clients that go: nothing of the inside shows, and the log tells one from the other."""

import json
import logging
import socket
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager
from datetime import date
from typing import Any

import httpx
import pytest
from litestar import Litestar

from evenhang import app as module
from evenhang.api.calls import Call, Operation
from evenhang.api.replies import NDJSON, Reply
from evenhang.app import create_app
from evenhang.logs import JsonLines
from evenhang.rulebook.book import RuleBook

SECRET = "the cost of the frame is 61"


def burst(call: Call) -> Any:
    raise RuntimeError(SECRET)


MADE: list[int] = []


def counted(call: Call) -> Reply:
    """Lines without end of the body's lines."""

    def lines() -> Iterator[bytes]:
        with call.body as body:
            for line in body:
                MADE.append(len(line))
                if line == b"burst\n":
                    raise RuntimeError(SECRET)
                yield line

    return Reply(lines(), NDJSON)


def waiting(call: Call) -> Reply:
    """An answer that takes its time."""
    time.sleep(1)
    return Reply(b"{}")


ROWS = (
    Operation("long", "GET", "/long", "", "", (), waiting, long=True),
    Operation("burst", "GET", "/burst", "", "", (), burst),
    Operation("lines", "POST", "/lines", "", "", (), counted, media=(NDJSON,), takes=(NDJSON,), most_bytes=50_000_000),
    Operation("beside", "GET", "/.well-known/beside", "", "", (), lambda call: Reply(b"{}", headers={"X-Own": "1"}), base=""),
)


@pytest.fixture(scope="module")
def planted(book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]]) -> Iterator[str]:
    """A service with rows of the test's own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "OPERATIONS", (*module.OPERATIONS, *ROWS))
        app = create_app(book, lambda: date(2026, 5, 1))
    with serve(app) as address:
        yield address


def lines_of(caplog: pytest.LogCaptureFixture) -> list[dict[str, Any]]:
    form = JsonLines()
    return [json.loads(form.format(record)) for record in caplog.records if record.name.startswith("evenhang")]


def logged(caplog: pytest.LogCaptureFixture, route: str) -> dict[str, Any]:
    """The line of the log for that route, waited for: it is written after the answer."""
    for _ in range(100):
        for line in lines_of(caplog):
            if line["event"] == "request" and line["route"] == route:
                return line
        time.sleep(0.05)
    raise AssertionError("no line in the log")


def test_a_fault_of_ours_hides_its_inside_and_is_found_by_its_id(planted: str, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.INFO, "evenhang")
    answer = httpx.get(f"{planted}/v1/burst", headers={"X-Request-Id": "find-me"}, trust_env=False)
    assert (answer.status_code, answer.headers["content-type"]) == (500, "application/problem+json")
    assert SECRET not in answer.text
    assert "RuntimeError" not in answer.text
    assert "find-me" in answer.json()["detail"]
    assert answer.headers["x-request-id"] == "find-me"
    fault = next(line for line in lines_of(caplog) if line["event"] == "unhandled")
    assert fault["request_id"] == "find-me"
    assert SECRET in fault["fault"]
    assert logged(caplog, "/v1/burst")["status"] == 500


def test_a_client_that_hangs_up_is_no_fault_of_ours(planted: str, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.INFO, "evenhang")
    host, _, port = planted.removeprefix("http://").partition(":")
    with socket.create_connection((host, int(port))) as wire:
        wire.sendall(
            b"POST /v1/lines HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/x-ndjson\r\nContent-Length: 1000\r\n\r\nhalf"
        )
    assert logged(caplog, "/v1/lines")["status"] == 499
    assert not [record for record in caplog.records if record.levelno >= logging.ERROR]


def test_a_client_that_hangs_up_ends_its_stream(planted: str, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.INFO, "evenhang")
    MADE.clear()
    body = b"x" * 9_999 + b"\n"
    with httpx.Client(base_url=planted, trust_env=False) as client:
        sent = {"content": body * 3_000, "headers": {"content-type": NDJSON}}
        with client.stream("POST", "/v1/lines", **sent) as answer:
            next(answer.iter_raw())
    assert logged(caplog, "/v1/lines")["status"] == 200
    assert len(MADE) < 3_000, "nobody reads them"
    assert not [record for record in caplog.records if record.levelno >= logging.ERROR]


def test_lines_come_back_as_they_were_sent(planted: str) -> None:
    body = b"".join(b"%d\n" % i for i in range(20_000))
    answer = httpx.post(f"{planted}/v1/lines", content=body, headers={"content-type": NDJSON}, trust_env=False)
    assert (answer.status_code, answer.content) == (200, body)
    assert answer.headers["content-type"] == NDJSON


def test_a_cut_answer_is_seen_to_be_cut(planted: str, caplog: pytest.LogCaptureFixture) -> None:
    """The last chunk is missing (RFC 9112, section 8)."""
    body = b"fine\n" * 10_000 + b"burst\n"
    with pytest.raises(httpx.RemoteProtocolError):
        httpx.post(f"{planted}/v1/lines", content=body, headers={"content-type": NDJSON}, trust_env=False)
    assert [line["event"] for line in lines_of(caplog) if line["level"] == "error"] == ["an answer was cut"]


def test_a_row_beside_the_version_has_its_own_headers(planted: str) -> None:
    answer = httpx.get(f"{planted}/.well-known/beside", trust_env=False)
    assert (answer.status_code, answer.headers["x-own"], answer.headers["cache-control"]) == (200, "1", "no-store")
    assert httpx.get(f"{planted}/v1/.well-known/beside", trust_env=False).status_code == 404


def test_the_log_holds_no_key_no_query_and_no_body(planted: str, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.INFO, "evenhang")
    key = {"Authorization": "Bearer not-to-be-seen"}
    httpx.get(f"{planted}/v1/members/alder-lane/price?medium=not-to-be-seen", headers=key, trust_env=False)
    httpx.post(f"{planted}/v1/members/alder-lane/quotes", json={"work": {"medium": "not-to-be-seen"}}, headers=key, trust_env=False)
    logged(caplog, "/v1/members/{member}/quotes")
    assert "not-to-be-seen" not in json.dumps(lines_of(caplog))


def test_nobody_waits_for_what_takes_long(planted: str) -> None:
    """A long operation is worked on beside the loop: two at once take as long as one, and another answer comes before them."""
    with ThreadPoolExecutor(2) as pool, httpx.Client(trust_env=False) as neighbour:
        asked = [pool.submit(httpx.get, f"{planted}/v1/long", trust_env=False) for _ in range(2)]
        time.sleep(0.2)
        assert neighbour.get(f"{planted}/health/live").status_code == 200
        assert not any(one.done() for one in asked)
        assert [one.result().status_code for one in asked] == [200, 200]


def test_whole_rule_folders_are_checked_beside_the_loop() -> None:
    """However small they are: a few kilobytes may hold a hundred days of a hundred members."""
    assert {row.id for row in module.OPERATIONS if row.long} == {"checkRules"}
