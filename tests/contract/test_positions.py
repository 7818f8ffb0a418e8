"""Positions as their callers meet them, over a running server."""

import httpx
import pytest

BASE = "/v1/members/alder-lane"
SIZE = {"height": "30", "width": "40", "unit": "cm"}


def eur(amount: str) -> dict:
    return {"amount": amount, "currency": "EUR"}


def seen(id: str, price: str, **more: object) -> dict:
    return {"id": id, "size": SIZE, "price": eur(price), "seen_at": "a list", **more}


OWN = [{"id": "own", "work": {"medium": "oil", "size": SIZE}}]


def test_at_one_size_by_pencil(client: httpx.Client) -> None:
    """The rules ask 250 for 30 x 40 cm (0.21 x 1,200 = 252): one of four is below, one equal: 1.5 of 4."""
    asked = {"medium": "oil", "own": OWN, "exponent": "1", "comparables": [seen(p, p) for p in ("200", "250", "300", "400")]}
    answer = client.post(f"{BASE}/positions", json=asked).json()
    (own,) = answer["positions"]["own"]
    assert (own["price"], own["percentile"], own["to_median_percent"]) == (eur("250.00"), "37.5", "-9.09")
    assert "Asked prices are not sale prices" in answer["positions"]["caution"]


@pytest.mark.parametrize(
    ("more", "status", "code", "pointer"),
    [
        ({"medium": "lead"}, 422, "unknown-name", "#/medium"),
        ({"exponent": "3"}, 422, "out-of-range", "#/exponent"),
        ({"exponent": None}, 422, "missing-figure", "#/exponent"),
        ({"exponent": 1}, 400, "invalid", "#/exponent"),
        ({"own": []}, 400, "invalid", "#/own"),
        ({"comparables": []}, 400, "invalid", "#/comparables"),
        ({"comparables": [seen("a", "9", sold="yes")]}, 400, "invalid", "#/comparables/0/sold"),
        ({"comparables": [seen("a", "9", maker="somebody")]}, 400, "invalid", "#/comparables/0/maker"),
    ],
)
def test_refusals_point_at_the_fault(client: httpx.Client, more: dict, status: int, code: str, pointer: str) -> None:
    asked = {"medium": "oil", "own": OWN, "comparables": [seen("a", "9")], "exponent": "1", **more}
    answer = client.post(f"{BASE}/positions", json=asked)
    assert (answer.status_code, [(e["code"], e["pointer"]) for e in answer.json()["errors"]]) == (status, [(code, pointer)])


@pytest.mark.parametrize("exponent", ["0", "2", None])
def test_the_largest_and_the_smallest_of_everything_get_an_answer(client: httpx.Client, exponent: str | None) -> None:
    most, least = "999999999999", "0.000001"
    sizes = [(most, "m"), ("100", "m"), ("0.01", "mm"), (least, "mm"), ("1", "in"), ("7", "cm")]
    rows = [
        {"id": f"{i}-{price}", "size": {"height": side, "width": side, "unit": unit}, "price": {"amount": price, "currency": code}}
        for i, (side, unit) in enumerate(sizes)
        for price, code in ((most, "EUR"), ("0.01", "EUR"), ("1", "JPY"), ("5", "ZZZ"))
    ]
    asked = {"medium": "oil", "comparables": [row | {"seen_at": ""} for row in rows], "exponent": exponent}
    asked["own"] = [{"id": row["id"], "work": {"medium": "oil", "size": row["size"]}, "price": row["price"]} for row in rows[:20]]
    assert client.post(f"{BASE}/positions", json=asked).status_code in ((422, 200) if exponent is None else (200,))
