"""A bucket of tokens: what is let through, what is not, and what is said about it."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import date

import httpx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from litestar import Litestar

from evenhang.api import buckets
from evenhang.api.buckets import Rates
from evenhang.api.problems import Declined
from evenhang.app import create_app
from evenhang.rulebook.book import RuleBook


def let(bucket: Rates, name: str = "a") -> bool:
    try:
        bucket.take(name)
    except Declined:
        return False
    return True


def test_who_is_declined_is_told_how_long() -> None:
    bucket = Rates(1, lambda: 0.0)
    bucket.take("a")
    with pytest.raises(Declined) as declined:
        bucket.take("a")
    assert declined.value.problem.status == 429
    assert declined.value.headers == {"Retry-After": "60", "RateLimit-Policy": '"requests";q=1;w=60', "RateLimit": '"requests";r=0;t=60'}


def test_by_pencil() -> None:
    """Six a minute: six at once, the seventh waits ten seconds."""
    now = [0.0]
    bucket = Rates(6, lambda: now[0])
    assert [let(bucket) for _ in range(7)] == [True] * 6 + [False]
    assert let(bucket, "b"), "each has a bucket of its own"
    now[0] = 9.9
    assert not let(bucket)
    now[0] = 10.0
    assert [let(bucket), let(bucket)] == [True, False]
    now[0] = 1_000.0
    assert [let(bucket) for _ in range(7)] == [True] * 6 + [False]


@given(st.integers(1, 50), st.lists(st.floats(0, 30), max_size=200))
def test_never_more_than_the_quota_and_what_comes_back(quota: int, waits: list[float]) -> None:
    """In any time t no more than quota + quota x t / 60 pass."""
    now = [0.0]
    bucket = Rates(quota, lambda: now[0])
    passed = 0
    for wait in waits:
        now[0] += wait
        passed += let(bucket)
        assert passed <= quota + quota * now[0] / 60 + 1e-6


def test_strangers_do_not_fill_the_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(buckets, "MOST_BUCKETS", 10)
    bucket = Rates(1, lambda: 0.0)
    for i in range(100):
        let(bucket, str(i))
    assert len(bucket._buckets) == 10


def test_over_the_wire(book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]]) -> None:
    app = create_app(book, lambda: date(2026, 5, 1), requests_per_minute=3)
    with serve(app) as address, httpx.Client(base_url=address, trust_env=False) as client:
        answers = [client.get(path) for path in ("/v1/members", "/v1/members/x/price?medium=oil", "/v1/members", "/v1/members")]
        assert [answer.status_code for answer in answers] == [200, 404, 200, 429]
        assert answers[0].headers["ratelimit-policy"] == '"requests";q=3;w=60'
        assert answers[0].headers["ratelimit"] == '"requests";r=2;t=20'
        assert answers[1].headers["ratelimit"].startswith('"requests";r=1;')
        assert answers[3].json()["type"] == "/problems/too-many-requests"
        assert 1 <= int(answers[3].headers["retry-after"]) <= 20
        assert client.get("/health/ready").status_code == 200
