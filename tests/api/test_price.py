"""A price at an address: the same as the quote, kept by caches, refused at the parameter."""

from datetime import date
from typing import Any

import httpx
import pytest
from litestar.testing import TestClient
from msgspec.structs import replace

from evenhang.app import create_app
from evenhang.engine.rules import RuleSet
from evenhang.rulebook.book import RuleBook

PRICE, QUOTES = "/v1/members/alder-lane/price", "/v1/members/alder-lane/quotes"
SIZED = {"medium": "oil", "height": "60", "width": "80"}


def test_by_pencil(client: httpx.Client) -> None:
    """As the quote of tests/contract/test_service.py: 840 for the size, 100.83 for the frame, 940 on the grid."""
    answer = client.get(PRICE, params={**SIZED, "framed": "true"}).json()
    assert (answer["price"], answer["as_of"]) == ({"amount": "940.00", "currency": "EUR"}, "2026-05-01")


@pytest.mark.parametrize(
    ("query", "work"),
    [
        ("medium=oil&height=60&width=80", {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}}),
        ("medium=oil&format=30f&grade=fine", {"medium": "oil", "format": "30f", "grade": "fine"}),
        ("medium=oil&height=20&width=30&unit=in", {"medium": "oil", "size": {"height": "20", "width": "30", "unit": "in"}}),
        ("medium=oil&format=30f&framed=true", {"medium": "oil", "format": "30f", "costs": [{"name": "frame"}]}),
        ("medium=oil&format=30f&cost=frame", {"medium": "oil", "format": "30f", "costs": [{"name": "frame"}]}),
        (
            "medium=oil&format=30f&extra=gilded-edge&extra=gilded-edge",
            {"medium": "oil", "format": "30f", "extras": [{"name": "gilded-edge", "quantity": 2}]},
        ),
        ("medium=oil&height=50&shape=round", {"medium": "oil", "size": {"height": "50", "unit": "cm"}, "shape": "round"}),
    ],
)
def test_it_is_the_quotes_price(client: httpx.Client, query: str, work: dict[str, Any]) -> None:
    """Byte for byte: both are the public quote, and both may decline in the same words."""
    got, quoted = client.get(f"{PRICE}?{query}"), client.post(QUOTES, json={"work": work})
    assert got.status_code == quoted.status_code
    if got.status_code == 200:
        assert got.content == quoted.content
    else:
        assert got.json()["detail"] == quoted.json()["detail"]


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ("medium=fresco&format=30f", "#/medium"), ("medium=oil", "#/height"), ("medium=oil&height=60", "#/width"),
        ("medium=oil&width=60", "#/height"), ("medium=oil&height=0&width=60", "#/height"), ("medium=oil&format=x", "#/format"),
        ("medium=oil&format=30f&grade=none", "#/grade"), ("medium=oil&format=30f&extra=none", "#/extra"),
        ("medium=oil&format=30f&cost=none", "#/cost"), ("medium=oil&format=30f&framed=true&cost=frame", "#/cost"),
        ("medium=oil&format=30f&height=1&width=1", "#/format"), ("medium=oil&format=30f&as_of=1999-01-01", "#/as_of"),
    ],
)  # fmt: skip
def test_refusals_point_at_the_parameter(client: httpx.Client, query: str, pointer: str) -> None:
    answer = client.get(f"{PRICE}?{query}")
    assert answer.status_code == 422, answer.text
    assert answer.json()["errors"][0]["pointer"] == pointer


def test_a_member_without_a_frame_says_so(client: httpx.Client, book: RuleBook) -> None:
    member = next(m for m in book.segments if not any(c.frame for c in book.in_force(m, date(2026, 5, 1)).rules.costs.values()))
    answer = client.get(f"/v1/members/{member}/price", params={"medium": "x", "framed": "true"})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/framed")


@pytest.mark.parametrize("query", [{"framed": "true"}, {"cost": "frame"}])
def test_a_cost_that_is_not_shown_has_no_public_difference(book: RuleBook, query: dict[str, str]) -> None:
    """Charged at its own cost and not shown: a price with it and one without would show it to anybody."""
    known = book.in_force("alder-lane", date(2026, 5, 1))
    frame = replace(known.rules.costs["frame"], treatment="at_cost", show_at_cost=False)
    rules = replace(known.rules, costs={**known.rules.costs, "frame": frame})
    hidden = RuleBook({"alder-lane": (RuleSet("alder-lane", rules, known.origins, known.digest, known.effective_from),)})
    with TestClient(create_app(hidden, lambda: date(2026, 5, 1))) as client:
        assert client.get(PRICE, params=SIZED).status_code == 200
        answer = client.get(PRICE, params={**SIZED, **query})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, f"#/{next(iter(query))}")
    assert "not public" in answer.json()["detail"]


def test_a_pin_is_held(client: httpx.Client) -> None:
    digest = client.get(PRICE, params=SIZED).json()["rules"]["digest"]
    assert client.get(PRICE, params={**SIZED, "rules_digest": digest}).status_code == 200
    assert client.get(PRICE, params={**SIZED, "rules_digest": "0" * 64}).status_code == 409


def test_a_copy_is_kept_until_the_price_changes(client: httpx.Client) -> None:
    first = client.get(PRICE, params=SIZED)
    tag = first.headers["etag"]
    assert first.headers["cache-control"] == "public, max-age=60"
    assert tag.startswith('"')
    for condition in (tag, f"W/{tag}", f'"x", {tag}', "*", f'"a,b" , {tag}'):
        again = client.get(PRICE, params=SIZED, headers={"If-None-Match": condition})
        assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", tag), condition
        assert again.headers["cache-control"] == "public, max-age=60"
        assert "content-type" not in again.headers
    for condition in ('"x"', tag.strip('"'), "", 'W/"x"'):
        assert client.get(PRICE, params=SIZED, headers={"If-None-Match": condition}).status_code == 200
    other = client.get(PRICE, params={**SIZED, "as_of": "2025-02-01"}, headers={"If-None-Match": tag})
    assert (other.status_code, other.headers["etag"] != tag) == (200, True)


def test_refusals_are_not_kept(client: httpx.Client) -> None:
    refused = client.get(PRICE, params={"medium": "fresco"})
    assert refused.headers["cache-control"] == "no-store"
    assert "etag" not in refused.headers


def test_the_book_may_be_swapped_while_it_runs(book: RuleBook) -> None:
    """Every request reads the book of that moment."""
    app = create_app(book, lambda: date(2026, 5, 1))
    with TestClient(app) as client:
        assert client.get(PRICE, params=SIZED).status_code == 200
        app.state.house.book = RuleBook({})
        assert client.get(PRICE, params=SIZED).status_code == 404
