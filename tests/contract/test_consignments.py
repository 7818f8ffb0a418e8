"""Consignments as their callers meet them, over a running server."""

from decimal import Decimal as D

import httpx
import pytest

URL = "/v1/members/alder-lane/consignments"


def euros(amount: str) -> dict:
    return {"amount": amount, "currency": "EUR"}


def sold(name: str, price: str = "880.00", **more: object) -> dict:
    return {"id": name, "price": euros(price), "sold_on": "2026-04-20", **more}


def ask(client: httpx.Client, *works: dict, outlet: str = "quay-gallery", **more: object) -> dict:
    answer = client.post(URL, json={"outlet": outlet, "works": works, **more})
    assert answer.status_code == 200, answer.text
    return answer.json()["consignment"]


def test_a_row_is_the_settlement_of_its_sale(client: httpx.Client) -> None:
    """In every outlet of the member's, with discount and frame."""
    frame = [{"name": "frame", "amount": euros("61.00")}]
    for outlet in ("studio", "shed-shop", "quay-gallery", "lantern-fair"):
        row = ask(client, sold("x", discount_percent="12", costs=frame), outlet=outlet)["works"][0]
        asked = {"outlet": outlet, "price": euros("880.00"), "discount_percent": "12", "costs": frame, "as_of": "2026-04-20"}
        settled = client.post("/v1/members/alder-lane/settlements", json=asked).json()["settlement"]
        assert [row[key] for key in ("shares", "proceeds", "buyer_pays", "note")] == [
            settled[key] for key in ("shares", "proceeds", "buyer_pays", "note")
        ]


def test_the_statement_by_pencil(client: httpx.Client) -> None:
    """880 has 80 tax: of 800 net 45 % is 360, 20 % on it 72, levy 16, so 352; 100 of them are paid."""
    found = ask(client, sold("x"), payments=[{"paid_on": "2026-04-30", "amount": euros("100.00")}])
    assert found["dues"][0] == {"rank": 1, "party": "member", "due": euros("352.00"), "paid": euros("100.00"), "balance": euros("252.00")}
    assert "licensed adviser" in found["caution"]
    assert "1738.6" in found["paid_first"]["source"]


@pytest.mark.parametrize(
    ("body", "status", "pointer"),
    [
        ({"outlet": "summer-tent", "works": []}, 422, "#/outlet"),
        ({"outlet": "quay-gallery"}, 400, "#/works"),
        ({"outlet": "quay-gallery", "works": [{"id": "", "price": euros("1.00")}]}, 400, "#/works/0/id"),
        ({"outlet": "quay-gallery", "works": [{"id": "x", "price": euros("1.00"), "state": "sold"}]}, 400, "#/works/0/state"),
        ({"outlet": "quay-gallery", "works": [], "payments": [{"paid_on": "soon", "amount": euros("1.00")}]}, 400, "#/payments/0/paid_on"),
        ({"outlet": "quay-gallery", "works": [], "as_of": "2024-01-01"}, 422, "#/as_of"),
        ({"outlet": "quay-gallery", "works": [], "rules_digest": "0" * 64}, 409, "#/rules_digest"),
    ],
)
def test_refusals_point_at_the_fault(client: httpx.Client, body: dict, status: int, pointer: str) -> None:
    answer = client.post(URL, json=body)
    assert answer.status_code == status, answer.text
    assert answer.json()["errors"][0]["pointer"] == pointer


def test_nothing_left_there_is_nothing_owed(client: httpx.Client) -> None:
    found = ask(client)
    assert [total["works"] for total in found["sums"]] == [0, 0, 0]
    assert {due["balance"]["amount"] for due in found["dues"]} == {"0.00"}


def test_ten_thousand_works(client: httpx.Client) -> None:
    works = [sold(f"w{i}") for i in range(10_000)]
    answer = client.post(URL, json={"outlet": "quay-gallery", "works": works}, timeout=60).json()["consignment"]
    assert D(answer["dues"][0]["due"]["amount"]) == 3_520_000
