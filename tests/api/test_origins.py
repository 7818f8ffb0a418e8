"""CORS by exact origin: on answers, on errors, on preflights, and on nothing for anybody else."""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import date

import httpx
import pytest
from litestar import Litestar

from evenhang.app import create_app
from evenhang.rulebook.book import RuleBook

SHOP = "https://shop.example"
ASKED = {"Origin": SHOP, "Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "authorization,content-type"}


@pytest.fixture(scope="module")
def shop(book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]]) -> Iterator[httpx.Client]:
    app = create_app(book, lambda: date(2026, 5, 1), origins=(SHOP, "http://localhost:5000"), requests_per_minute=1000)
    with serve(app) as address, httpx.Client(base_url=address, trust_env=False) as client:
        yield client


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", "/v1/members", 200), ("GET", "/v1/members/alder-lane/price?medium=oil&format=30f", 200), ("GET", "/nowhere", 404),
        ("POST", "/v1/members", 405), ("GET", "/v1/members/alder-lane/price", 400), ("GET", "/v1/members?" + "x" * 9_000, 414),
        ("OPTIONS", "/v1/members", 204),
    ],
)  # fmt: skip
def test_every_answer_says_that_the_shop_may_read_it(shop: httpx.Client, method: str, path: str, status: int) -> None:
    answer = shop.request(method, path, headers={"Origin": SHOP})
    assert answer.status_code == status
    assert answer.headers["access-control-allow-origin"] == SHOP
    assert "Origin" in answer.headers["vary"]
    assert "ETag" in answer.headers["access-control-expose-headers"]


def test_a_copy_that_still_holds_may_be_read_too(shop: httpx.Client) -> None:
    path = "/v1/members/alder-lane/price?medium=oil&format=30f"
    tag = shop.get(path).headers["etag"]
    answer = shop.get(path, headers={"Origin": SHOP, "If-None-Match": tag})
    assert (answer.status_code, answer.headers["access-control-allow-origin"]) == (304, SHOP)


@pytest.mark.parametrize(
    "origin",
    ["https://shop.example.evil.example", "http://shop.example", "https://shop.example:8443", "null", "https://SHOP.example", "*", ""],
)
def test_nobody_else_may(shop: httpx.Client, origin: str) -> None:
    for answer in (shop.get("/v1/members", headers={"Origin": origin}), shop.options("/v1/members", headers={**ASKED, "Origin": origin})):
        assert not [name for name in answer.headers if name.startswith("access-control")]
        assert "Origin" in answer.headers["vary"], "or a cache would hand one origin's answer to another"


def test_a_preflight_needs_no_key_and_says_what_may_be_sent(shop: httpx.Client) -> None:
    answer = shop.options("/v1/members/alder-lane/quotes", headers=ASKED)
    assert (answer.status_code, answer.content) == (204, b"")
    assert answer.headers["access-control-allow-methods"] == "GET, HEAD, POST"
    assert "Authorization" in answer.headers["access-control-allow-headers"]
    assert "access-control-allow-credentials" not in answer.headers


def test_without_origins_nothing_is_said(client: httpx.Client) -> None:
    answer = client.get("/v1/members", headers={"Origin": SHOP})
    assert not [name for name in answer.headers if name.startswith("access-control")]
