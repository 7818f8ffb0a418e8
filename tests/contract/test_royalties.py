"""Resale royalties as their callers meet them, over a running server."""

import httpx
import pytest

BASE = {"place": "de", "price": {"amount": "100000.00", "currency": "EUR"}}


def ask(client: httpx.Client, **more: object) -> httpx.Response:
    return client.post("/v1/resale-royalties", json={**BASE, **more})


def test_the_day_of_the_sale_is_today_unless_said(client: httpx.Client) -> None:
    answer = ask(client).json()
    assert answer["as_of"] == "2026-05-01"
    assert answer["royalty"]["royalty"] == {"amount": "3500.00", "currency": "EUR"}


def test_caution_and_source_are_in_every_answer(client: httpx.Client) -> None:
    for more in ({}, {"sale": "first-sale"}, {"place": "ie", "price": {"amount": "1.00", "currency": "EUR"}}):
        royalty = ask(client, **more).json()["royalty"]
        assert "licensed adviser" in royalty["caution"]
        assert royalty["law"]["source"]
        assert royalty["not_looked_at"]


@pytest.mark.parametrize(
    ("more", "status", "pointer"),
    [
        ({"place": "atlantis"}, 422, "#/place"),
        ({"as_of": "1999-12-31"}, 422, "#/as_of"),
        ({"price": {"amount": "100000.00", "currency": "GBP"}}, 422, "#/exchange"),
        ({"price": {"amount": "1", "currency": "ZZZ"}}, 422, "#/price/currency"),
        ({"exchange": {"rate": "1.1", "on": "2026-05-01"}}, 422, "#/exchange"),
        ({"smallest_price": {"amount": "1.00", "currency": "EUR"}}, 422, "#/smallest_price"),
        ({"price": {"amount": 100000, "currency": "EUR"}}, 400, "#/price/amount"),
        ({"sale": "barter"}, 400, "#/sale"),
        ({"tax_percent": "-7"}, 400, "#/tax_percent"),
        ({"member": "alder-lane"}, 400, "#/member"),
    ],
)
def test_refusals_point_at_the_fault(client: httpx.Client, more: dict, status: int, pointer: str) -> None:
    answer = ask(client, **more)
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["errors"][0]["pointer"] == pointer


def test_the_largest_that_can_be_written(client: httpx.Client) -> None:
    """The limits of what may be sent never break it: 12 digits of price over a rate with 12 digits after the point."""
    tiny, huge = "0.000000000001", "999999999999.999999999999"
    for place, rate in (("au", tiny), ("au", huge), ("de", tiny), ("de", huge)):
        price = {"amount": "999999999999.99", "currency": "CHF"}
        answer = ask(client, place=place, price=price, tax_percent="999999999999.999999", exchange={"rate": rate, "on": "2026-05-01"})
        assert answer.status_code == 200, answer.text
