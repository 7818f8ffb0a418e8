"""Targets as their callers meet them, over a running server."""

from decimal import Decimal as D

import httpx
import pytest

BASE = "/v1/members/alder-lane"


def eur(amount: str) -> dict:
    return {"amount": amount, "currency": "EUR"}


def test_the_hourly_target_by_pencil(client: httpx.Client) -> None:
    """In the gallery 1 / 1.1 x (1 - 0.45 x 1.2 - 0.02) = 0.4 of the price reach the member: ten hours at 32 need 320 / 0.4 = 800."""
    answer = client.post(f"{BASE}/targets", json={"figure": "yield", "hours": "10"}).json()
    found = answer["target"]
    assert (found["wanted"], found["price"], found["outlet"]) == (eur("32.00"), eur("800.00"), "quay-gallery")
    assert (found["closed_form"], "320 / 0.4 = 800" in found["working"]) == ("800", True)
    assert [r["outlet"] for r in found["reached"]] == ["studio", "shed-shop", "quay-gallery", "lantern-fair"]
    assert (found["price_below"], [r["outlet"] for r in found["reached_below"] if not r["reached"]]) == (eur("790.00"), ["quay-gallery"])
    assert answer["as_of"] == "2026-05-01"
    assert "licensed adviser" in found["caution"]


def test_the_answer_settles_to_what_was_wanted_and_the_price_below_does_not(client: httpx.Client) -> None:
    sale = {"discount_percent": "7.5", "costs": [{"name": "frame", "amount": eur("61.00")}], "hours": "12.5"}
    found = client.post(f"{BASE}/targets", json={"figure": "earnings", "wanted": eur("410.00"), "outlet": "lantern-fair", **sale}).json()[
        "target"
    ]
    earned = [
        D(
            client.post(f"{BASE}/settlements", json={"outlet": "lantern-fair", "price": price, **sale}).json()["settlement"]["earnings"][
                "amount"
            ]
        )
        for price in (found["price"], found["price_below"])
    ]
    assert earned[0] >= D("410.00") * D("160.25") > earned[1]
    assert found["settlements"][0]["earnings"] == {"amount": str(earned[0]), "currency": "JPY"}


def test_in_every_outlet_is_the_dearest_of_each(client: httpx.Client) -> None:
    asked = {"figure": "proceeds", "wanted": eur("500.00")}
    outlets = ("studio", "shed-shop", "quay-gallery", "lantern-fair")
    each = [D(client.post(f"{BASE}/targets", json={**asked, "outlet": o}).json()["target"]["price"]["amount"]) for o in outlets]
    every = client.post(f"{BASE}/targets", json=asked).json()["target"]
    assert D(every["price"]["amount"]) == max(each)
    assert len(set(each)) > 1


@pytest.mark.parametrize(
    ("asked", "code", "pointer"),
    [
        ({"figure": "yield"}, "missing-figure", "#/hours"),
        ({"figure": "yield", "hours": "0"}, "missing-figure", "#/hours"),
        ({"figure": "yield", "hours": "100001"}, "out-of-range", "#/hours"),
        ({"figure": "proceeds"}, "missing-figure", "#/wanted"),
        ({"figure": "proceeds", "wanted": {"amount": "10", "currency": "JPY"}}, "contradictory-request", "#/wanted/currency"),
        ({"figure": "proceeds", "wanted": eur("10.001")}, "contradictory-request", "#/wanted/amount"),
        ({"figure": "proceeds", "wanted": eur("10"), "outlet": "nowhere"}, "unknown-name", "#/outlet"),
        ({"figure": "proceeds", "wanted": eur("10"), "discount_percent": "100"}, "unreachable-target", "#/wanted"),
        ({"figure": "proceeds", "wanted": eur("10"), "discount_percent": "100.5"}, "out-of-range", "#/discount_percent"),
        ({"figure": "proceeds", "wanted": eur("999999999999")}, "unreachable-target", "#/wanted"),
        ({"figure": "earnings", "wanted": eur("10"), "costs": [{"name": "frame"}]}, "missing-figure", "#/costs/0/amount"),
        ({"figure": "earnings", "wanted": eur("10"), "costs": [{"name": "glass", "amount": eur("1")}]}, "unknown-name", "#/costs/0/name"),
    ],
)
def test_refusals_point_at_the_fault(client: httpx.Client, asked: dict, code: str, pointer: str) -> None:
    answer = client.post(f"{BASE}/targets", json=asked)
    assert (answer.status_code, answer.headers["content-type"]) == (422, "application/problem+json")
    assert [(e["code"], e["pointer"]) for e in answer.json()["errors"]] == [(code, pointer)]


def test_a_settlement_refuses_a_cost_without_an_amount(client: httpx.Client) -> None:
    asked = {"outlet": "studio", "price": eur("900.00"), "costs": [{"name": "frame", "amount": eur("61")}, {"name": "frame"}]}
    assert client.post(f"{BASE}/settlements", json=asked).json()["errors"][0]["pointer"] == "#/costs/1/name"
    asked["costs"] = [{"name": "frame"}]
    answer = client.post(f"{BASE}/settlements", json=asked)
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/costs/0/amount")
    assert "State its amount" in answer.json()["detail"]


def test_a_settlement_of_nothing_is_refused(client: httpx.Client) -> None:
    answer = client.post(f"{BASE}/settlements", json={"outlet": "studio", "price": eur("0.00")})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/price/amount")
