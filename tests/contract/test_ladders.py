"""Ladders as their callers meet them, over a running server."""

import json
from pathlib import Path

import httpx
import pytest

BASE = "/v1/members/alder-lane"
JPY = {"amount": "1", "currency": "JPY"}


def eur(amount: str) -> dict:
    return {"amount": amount, "currency": "EUR"}


def test_the_size_found_is_quoted_at_its_price(client: httpx.Client) -> None:
    """The answer's size goes back as it is: the quote says the same price, and the next size up is over the budget."""
    asked = {"medium": "oil", "aspect": {"height": "3", "width": "4"}, "budgets": [{"amount": eur("500.00"), "framed": True}]}
    (fit,) = client.post(f"{BASE}/ladders", json=asked).json()["fits"]
    prices = []
    for rung in (fit["largest"], fit["next_up"]):
        work = {"medium": "oil", "size": rung["size"], "costs": [{"name": "frame"}]}
        price = client.post(f"{BASE}/quotes", json={"work": work}).json()["price"]
        assert price == rung["framed_price"]
        prices.append(float(price["amount"]))
    assert prices[0] <= 500 < prices[1]


def test_every_medium_answers_a_budget_and_without_proportions_some_say_why(client: httpx.Client) -> None:
    answer = client.post(f"{BASE}/ladders", json={"budgets": [{"amount": eur("300")}]}).json()
    fits = answer["fits"]
    assert [fit["medium"] for fit in fits] == ["drawing", "oil", "plein-air"]
    assert [fit["largest"] and fit["largest"]["label"] for fit in fits] == [None, None, "8F"]
    assert [fit["reason"] and fit["reason"]["pointer"] for fit in fits] == ["#/aspect/width", "#/aspect/width", None]
    assert [row["medium"] for row in answer["ladders"]] == ["drawing", "oil", "plein-air"]


def test_bands_over_all_ladders(client: httpx.Client) -> None:
    """A band is empty only where no medium fills it; each count is the sum over the media."""
    answer = client.post(f"{BASE}/ladders", json={}).json()
    for i, band in enumerate(answer["bands"]):
        assert band["unframed"] == sum(row["bands"][i]["unframed"] for row in answer["ladders"])
        assert band["empty"] == (not band["unframed"] and not band["framed"])
    assert [band["title"] for band in answer["bands"]] == ["a small present", "a large present", "a wall at home", "a collection"]


@pytest.mark.parametrize(
    ("asked", "code", "pointer"),
    [
        ({"medium": "lead"}, "unknown-name", "#/medium"),
        ({"grade": "plain"}, "unknown-name", "#/grade"),
        ({"framing": {"name": "glass"}}, "unknown-name", "#/framing/name"),
        ({"framing": {"name": "frame", "amount": JPY}}, "contradictory-request", "#/framing/amount/currency"),
        ({"framing": {"name": "frame", "amount": eur("1.001")}}, "contradictory-request", "#/framing/amount/amount"),
        ({"most_ratio": "1"}, "out-of-range", "#/most_ratio"),
        ({"aspect": {"height": "0", "width": "4"}}, "out-of-range", "#/aspect/height"),
        ({"aspect": {"height": "1", "width": "400"}}, "out-of-range", "#/aspect"),
        ({"budgets": [{"amount": eur("1")}, {"amount": JPY}]}, "contradictory-request", "#/budgets/1/amount/currency"),
    ],
)
def test_refusals_point_at_the_fault(client: httpx.Client, asked: dict, code: str, pointer: str) -> None:
    answer = client.post(f"{BASE}/ladders", json=asked)
    assert (answer.status_code, answer.headers["content-type"]) == (422, "application/problem+json")
    assert [(e["code"], e["pointer"]) for e in answer.json()["errors"]] == [(code, pointer)]


@pytest.mark.parametrize(
    ("asked", "pointer"),
    [
        ({"most_ratio": 2}, "#/most_ratio"),
        ({"most_ratio": "NaN"}, "#/most_ratio"),
        ({"aspect": {"height": "1"}}, "#/aspect/width"),
        ({"unit": "m"}, "#/unit"),
        ({"hours": ["1e9"]}, "#/hours/0"),
        ({"sizes": [{"height": "1", "unit": "cm"}] * 101}, "#/sizes"),
        ({"budgets": [{"amount": eur("1")}] * 21}, "#/budgets"),
        ({"budget": {"amount": eur("1")}}, "#/budget"),
    ],
)
def test_bodies_that_do_not_fit_the_contract(client: httpx.Client, asked: dict, pointer: str) -> None:
    answer = client.post(f"{BASE}/ladders", json=asked)
    assert (answer.status_code, [e["pointer"] for e in answer.json()["errors"]]) == (400, [pointer])


@pytest.mark.parametrize("member", ["alder-lane", "bracken-gouge", "muddlefern", "weftanderel", "glimmerfallow"])
def test_the_largest_of_everything_gets_an_answer(client: httpx.Client, member: str) -> None:
    """The limits of every field at once: huge sizes, budgets of 12 digits, a ratio of hardly over 1."""
    most, least = "999999999999", "0.000001"
    sides = ("height", "width", "depth")
    asked = {
        "sizes": [dict.fromkeys(sides, side) | {"unit": unit} for side, unit in ((most, "m"), ("100", "m"), (least, "mm"))],
        "hours": [most, "0", least],
        "formats": ["120f", "0m", "nothing"],
        "aspect": dict.fromkeys(sides, most),
        "most_ratio": "1.000000000001",
        "budgets": [{"amount": eur(most), "framed": True}, {"amount": eur("0")}],
    }
    answer = client.post(f"/v1/members/{member}/ladders", json=asked)
    assert answer.status_code == 200
    assert all(fit["largest"] is None and fit["smallest"] for fit in answer.json()["fits"] if fit["budget"]["amount"] == "0.00")


def test_the_readme_shows_the_example() -> None:
    root = Path(__file__).parents[2]
    answer = json.loads((root / "openapi/examples/buildLadder/what-500-pays-for-in-every-medium.answer.json").read_text())
    rows = []
    for fit in answer["fits"]:
        if fit["framed"]:
            largest, up = fit["largest"], fit["next_up"]
            framed = (largest["framed_price"]["amount"], up["framed_price"]["amount"])
            rows.append(f"| {fit['medium']} | {largest['label']} | {framed[0]} | {up['label']} | {framed[1]} |")
    assert "\n".join(rows) in (root / "README.md").read_text()
