"""Sets as their callers meet them, over a running server."""

from decimal import Decimal as D

import httpx
import pytest


def lino(name: str, height: str, width: str, **more: object) -> dict:
    return {"id": name, "work": {"medium": "linocut", "size": {"height": height, "width": width, "unit": "cm"}, **more}}


THREE = [lino("a", "20", "30"), lino("b", "15", "20"), lino("c", "30", "40", hours="3", costs=[{"name": "paper"}])]


def ask(client: httpx.Client, member: str = "bracken-gouge", **body: object) -> httpx.Response:
    return client.post(f"/v1/members/{member}/sets", json={"as_of": "2026-05-01", "works": THREE, **body})


def test_three_prints(client: httpx.Client) -> None:
    """120, 80 and 185 (1,200 cm2: 120 x 2 ^ 0.6 x 1.02 = 185.53) are 385; 10 % off is 346.50, on the grid of tens 350."""
    offer = ask(client).json()["set_offer"]
    quoted = [client.post("/v1/members/bracken-gouge/quotes", json={"as_of": "2026-05-01", "work": w["work"]}).json() for w in THREE]
    assert [row["price"] for row in offer["works"]] == [quote["price"] for quote in quoted]
    assert [offer[key]["amount"] for key in ("singly", "discount", "price")] == ["385.00", "35.00", "350.00"]
    assert (offer["discount_percent"], offer["on_grid"]) == ("10", True)
    assert sum(D(row["price_in_set"]["amount"]) for row in offer["works"]) == D(offer["price"]["amount"])


def test_the_public_view_by_default_holds_nothing_private(client: httpx.Client) -> None:
    text = ask(client).text
    assert not [w for w in ("settlements", "costs", "hours", "proceeds", "commission", "earnings", "working") if f'"{w}"' in text]
    member = ask(client, view="member").json()
    assert [s["outlet"] for s in member["settlements"]] == [o["outlet"] for o in member["set_offer"]["outlets"]]
    assert [s["buyer_pays"] for s in member["settlements"]] == [o["price"] for o in member["set_offer"]["outlets"]]


def test_the_member_alone_bears_it_by_the_rule_of_its_sets(client: httpx.Client) -> None:
    steps = {s["code"]: s for s in ask(client, view="member").json()["settlements"][1]["steps"]}
    assert steps["commission"]["working"].endswith(f"of {steps['listed']['amount']['amount']}")
    assert steps["discount"]["rule"]["layer"] == "members/bracken-gouge/2025-01-01.toml"


def test_a_bad_work_is_a_row_with_its_reason(client: httpx.Client) -> None:
    answer = ask(client, works=[*THREE, lino("d", "0", "30")]).json()
    assert (answer["set_offer"]["price"], answer["tax"], answer["statement"]) == (None, None, "")
    assert answer["set_offer"]["works"][3]["reason"]["pointer"] == "#/works/3/work/size/height"
    assert answer["set_offer"]["works"][0]["price"]["amount"] == "120.00"
    assert ask(client, works=[*THREE, lino("d", "0", "30")], view="member").json()["settlements"] == []


@pytest.mark.parametrize(
    ("member", "body", "status", "code", "pointer"),
    [
        ("weftanderel", {}, 422, "not-offered", "#"),
        ("bracken-gouge", {"works": THREE[:1]}, 400, "invalid", "#/works"),
        ("bracken-gouge", {"works": [lino(str(i), "20", "30") for i in range(101)]}, 400, "invalid", "#/works"),
        ("bracken-gouge", {"discount_percent": "20"}, 400, "invalid", "#/discount_percent"),
    ],
)
def test_refusals_point_at_the_fault(client: httpx.Client, member: str, body: dict, status: int, code: str, pointer: str) -> None:
    answer = ask(client, member, **body)
    found = answer.json()["errors"][0]
    assert (answer.status_code, found["code"], found["pointer"]) == (status, code, pointer)
