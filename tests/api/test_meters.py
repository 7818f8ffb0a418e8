"""The counters: each request once under its route, who may read them, and nothing in them that strangers could make grow."""

import re
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import date
from pathlib import Path

import httpx
import pytest
from litestar import Litestar
from tests.api.test_access import KEYS, bearer
from tests.rulebook.folders import FILES, HOUSE, write

from evenhang.api.asked import Asked
from evenhang.api.meters import BOUNDS, Meters
from evenhang.app import create_app
from evenhang.rulebook.book import RuleBook
from evenhang.rulebook.shelf import Shelf

SAMPLE = re.compile(r'([a-z_]+)(?:\{((?:[a-z]+="[^"\\\n]*",?)+)\})? ([0-9.e+-]+|\+Inf)')
Serve = Callable[[Litestar], AbstractContextManager[str]]


def samples(text: str) -> dict[tuple[str, str], float]:
    """The samples by name and labels; each line is one, or a heading of the name that follows."""
    out, names = {}, []
    for line in text.splitlines():
        if line.startswith("# "):
            names.append(line.split(" ")[2])
            continue
        match = SAMPLE.fullmatch(line)
        assert match, line
        assert match[1].startswith(names[-1])
        assert (match[1], match[2] or "") not in out
        out[match[1], match[2] or ""] = float(match[3])
    return out


@pytest.fixture(scope="module")
def metered(book: RuleBook, serve: Serve) -> Iterator[httpx.Client]:
    with serve(create_app(book, lambda: date(2026, 5, 1))) as address, httpx.Client(base_url=address, trust_env=False) as client:
        yield client


def read(client: httpx.Client) -> dict[tuple[str, str], float]:
    answer = client.get("/metrics")
    assert (answer.status_code, answer.headers["content-type"]) == (200, "text/plain; version=0.0.4; charset=utf-8")
    return samples(answer.text)


def test_each_request_is_counted_once_by_route_method_and_status(metered: httpx.Client, book: RuleBook) -> None:
    work = {"work": {"medium": "oil", "format": "30f"}}
    for _ in range(3):
        metered.post("/v1/members/alder-lane/quotes", json=work)
    metered.post("/v1/members/nobody/quotes", json=work)
    metered.head("/v1/members")
    metered.request("PROPFIND", "/v1/members")
    metered.get("/no/such/place")
    found = read(metered)
    quotes = "/v1/members/{member}/quotes"
    expected = {
        (quotes, "POST", 200): 3,
        (quotes, "POST", 404): 1,
        ("/v1/members", "HEAD", 200): 1,
        ("-", "GET", 404): 1,
        ("-", "other", 405): 1,
    }
    got = {key: n for key, n in found.items() if key[0] == "evenhang_requests_total"}
    for (route, method, status), n in expected.items():
        assert got["evenhang_requests_total", f'route="{route}",method="{method}",status="{status}"'] == n
    assert sum(got.values()) == 7
    assert found["evenhang_request_seconds_count", f'route="{quotes}"'] == 4
    buckets = [n for (name, labels), n in found.items() if name == "evenhang_request_seconds_bucket" and quotes in labels]
    assert buckets == sorted(buckets)
    assert (len(buckets), buckets[-1]) == (len(BOUNDS) + 1, 4)
    assert found["evenhang_rules_info", f'digest="{book.digest}"'] == 1


def test_a_client_that_hangs_up_is_no_5xx(metered: httpx.Client) -> None:
    with socket.create_connection((metered.base_url.host, metered.base_url.port or 80)) as wire:
        head = b"POST /v1/members/alder-lane/checks HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
        wire.sendall(head + b"Content-Length: 1000\r\n\r\nhalf")
    wanted = ("evenhang_requests_total", 'route="/v1/members/{member}/checks",method="POST",status="499"')
    for _ in range(100):
        found = read(metered)
        if wanted in found:
            break
        time.sleep(0.05)
    assert found[wanted] == 1
    assert not [labels for _, labels in found if 'status="5' in labels]


def test_a_steward_reads_them_and_nobody_else_does(book: RuleBook, serve: Serve) -> None:
    with serve(create_app(book, lambda: date(2026, 5, 1), keys=KEYS)) as address, httpx.Client(base_url=address, trust_env=False) as client:
        got = {key: client.get("/metrics", headers=bearer(key)).status_code for key in (None, "desk", "books", "steward", "all", "nobody")}
    assert got == {None: 401, "desk": 403, "books": 403, "steward": 200, "all": 200, "nobody": 401}


def test_a_refused_reload_shows(tmp_path: Path, serve: Serve) -> None:
    shelf = Shelf.filled(write(tmp_path / "rules", FILES))
    write(tmp_path / "rules", {HOUSE: "currency = 1"})
    assert shelf.reload() is False
    with serve(create_app(shelf, lambda: date(2026, 5, 1))) as address, httpx.Client(base_url=address, trust_env=False) as client:
        found = read(client)
    assert found["evenhang_rules_failing", ""] == 1
    assert found["evenhang_rules_reload_failures_total", ""] >= 1
    assert found["evenhang_rules_info", f'digest="{shelf.book.digest}"'] == 1


def test_a_duration_on_a_bound_belongs_to_its_bucket() -> None:
    """`le` is inclusive; a request to which nothing could be answered counts as 500."""
    meters = Meters()
    asked = Asked({"method": "GET", "path": "/", "query_string": b"", "headers": []})
    for seconds in (0.001, 0.0011, 61.0):
        meters.count(asked, seconds)
    found = samples("\n".join(meters.lines()))
    assert [found["evenhang_request_seconds_bucket", f'route="-",le="{le}"'] for le in ("0.001", "0.0025", "60.0", "+Inf")] == [1, 2, 2, 3]
    assert found["evenhang_requests_total", 'route="-",method="GET",status="500"'] == 3
