"""Editions as their callers meet them, over a running server."""

import httpx
import pytest

LINO = {"medium": "linocut", "size": {"height": "20", "width": "30", "unit": "cm"}, "hours": "0.5", "costs": [{"name": "paper"}]}


def eur(amount: str) -> dict:
    return {"amount": amount, "currency": "EUR"}


def ask(client: httpx.Client, member: str = "bracken-gouge", **body: object) -> httpx.Response:
    return client.post(f"/v1/members/{member}/editions", json={"as_of": "2026-05-01", "work": LINO, "numbers": 30, **body})


def test_thirty_linocuts_by_pencil(client: httpx.Client) -> None:
    """122.40 to 120; x 1.2 is 146.88, to 145; x 1.5 is 183.60, to 185: ten of each are 4,500.

    In the shop 120 leave 120 - 2.00 of card fee - 24 - 2.40 = 91.60, less 2.80 of paper 88.80: a run of 205 needs 3 (266.40).
    """
    answer = ask(client, proofs=3, run_costs=[{"name": "block", "amount": eur("85.00")}, {"name": "press", "amount": eur("120.00")}]).json()
    edition = answer["edition"]
    assert [(s["from_number"], s["price"]) for s in edition["steps"]] == [(1, eur("120.00")), (11, eur("145.00")), (21, eur("185.00"))]
    assert (edition["total"], edition["run_cost"], edition["copy_limit"]) == (eur("4500.00"), eur("205.00"), None)
    shop = next(o for o in answer["run"]["outlets"] if o["outlet"] == "shed-shop")
    assert shop["break_even"] == {"numbers": 3, "reached": "61.4", "one_fewer": "-27.4", "note": ""}
    assert (answer["run"]["hourly_target"], "licensed adviser" in answer["caution"]) == (eur("22.00"), True)


def test_a_copy_is_quoted_at_the_price_of_number_one(client: httpx.Client) -> None:
    quoted = client.post("/v1/members/bracken-gouge/quotes", json={"as_of": "2026-05-01", "work": LINO}).json()["price"]
    assert ask(client).json()["edition"]["copies"][0]["price"] == quoted


def test_the_law_on_copies_is_a_note_with_its_source(client: httpx.Client) -> None:
    photo = {"medium": "silver-print", "size": {"height": "8", "width": "10", "unit": "in"}}
    limits = [ask(client, "glimmerfallow", work=photo, numbers=n, proofs=1).json()["edition"]["copy_limit"] for n in (29, 30)]
    assert [(limit["most"], limit["copies"], limit["within"]) for limit in limits] == [(30, 30, True), (30, 31, False)]
    assert "2006/112/EC" in limits[0]["note"]


@pytest.mark.parametrize(
    ("member", "body", "status", "code", "pointer"),
    [
        ("bracken-gouge", {"proofs": 4}, 422, "out-of-range", "#/proofs"),
        ("bracken-gouge", {"numbers": 51}, 422, "out-of-range", "#/numbers"),
        ("bracken-gouge", {"numbers": 0}, 400, "invalid", "#/numbers"),
        ("bracken-gouge", {"numbers": 1001}, 400, "invalid", "#/numbers"),
        ("bracken-gouge", {"numbers": "30"}, 400, "invalid", "#/numbers"),
        ("bracken-gouge", {"outlet": "salt-arcade"}, 422, "unknown-name", "#/outlet"),
        ("bracken-gouge", {"run_hours": "100001"}, 422, "out-of-range", "#/run_hours"),
        ("bracken-gouge", {"work": {**LINO, "hours": "100001"}}, 422, "out-of-range", "#/work/hours"),
        ("bracken-gouge", {"work": {**LINO, "grade": "rough"}}, 422, "unknown-name", "#/work/grade"),
        ("bracken-gouge", {"work": {"medium": "reduction"}}, 422, "not-offered", "#/work/medium"),
        ("bracken-gouge", {"work": {"medium": "fresco"}}, 422, "unknown-name", "#/work/medium"),
        ("bracken-gouge", {"hourly_target": {"amount": "3", "currency": "JPY"}}, 422, "contradictory-request", "#/hourly_target/currency"),
        ("bracken-gouge", {"run_costs": [{"name": "ink", "amount": eur("1.005")}]}, 422, "contradictory-request",
         "#/run_costs/0/amount/amount"),
        ("bracken-gouge", {"run_costs": [{"name": "ink", "amount": eur("1")}] * 2}, 422, "contradictory-request", "#/run_costs/1/name"),
        ("bracken-gouge", {"run_costs": [{"name": "ink", "amount": {"amount": 1.5, "currency": "EUR"}}]}, 400, "invalid",
         "#/run_costs/0/amount/amount"),
    ],
)  # fmt: skip
def test_refusals_point_at_the_fault(client: httpx.Client, member: str, body: dict, status: int, code: str, pointer: str) -> None:
    answer = ask(client, member, **body)
    found = answer.json()["errors"][0]
    assert (answer.status_code, found["code"], found["pointer"]) == (status, code, pointer)


def test_a_thousand_numbers(client: httpx.Client) -> None:
    sheet = {"medium": "enamel", "size": {"height": "5", "width": "5", "unit": "cm"}}
    answer = ask(client, "muddlefern", work=sheet, numbers=1000, run_costs=[{"name": "copper", "amount": eur("9999.99")}]).json()
    assert len(answer["edition"]["copies"]) == 1000
    assert not answer["edition"]["copy_limit"]["within"]
