"""Rates as their callers meet them, over a running server."""

import httpx
import pytest

BASE = "/v1/members/alder-lane"


def eur(amount: str) -> dict:
    return {"amount": amount, "currency": "EUR"}


def oil(id: str, height: str, width: str, **more: object) -> dict:
    price = more.pop("price", None)
    return {"id": id, "work": {"medium": "oil", "size": {"height": height, "width": width, "unit": "cm"}, **more}, "price": price}


def test_one_bad_work_sinks_nothing_and_says_where_it_is_wrong(client: httpx.Client) -> None:
    works = [
        oil("a", "30", "40", hours="8"),
        oil("b", "30", "40"),
        oil("a", "30", "40", hours="8"),
        oil("c", "30", "0", hours="8"),
        oil("d", "30", "40", hours="8", grade="plain"),
        oil("e", "30", "40", price={"amount": "9", "currency": "JPY"}),
        {"id": "f", "work": {"medium": "lead", "hours": "8"}},
        {"id": "g", "work": {"medium": "lead"}, "price": eur("9.00")},
    ]
    answer = client.post(f"{BASE}/rates", json={"works": works}).json()
    assert [(row["id"], row["reason"]["pointer"], row["reason"]["code"]) for row in answer["left_out_works"]] == [
        ("b", "#/works/1/price", "missing-figure"),
        ("a", "#/works/2/id", "contradictory-request"),
        ("c", "#/works/3/work/size/width", "out-of-range"),
        ("d", "#/works/4/work/grade", "unknown-name"),
        ("e", "#/works/5/price/currency", "contradictory-request"),
        ("f", "#/works/6/work/medium", "unknown-name"),
        ("g", "#/works/7/work/medium", "unknown-name"),
    ]
    assert [(row["medium"], row["counted"], row["reached"]) for row in answer["hourly"]] == [("oil", 1, 1)]
    assert "licensed adviser" in answer["hourly"][0]["caution"]


def test_the_rate_found_by_pencil(client: httpx.Client) -> None:
    """In the gallery 0.4 of the price reaches the member (1 / 1.1 x (1 - 0.45 x 1.2 - 0.02)): ten hours at 32 need 800. 795 is 800 on the
    grid of 10, and 2,000 cm2 reach it at 0.3975."""
    (rate,) = client.post(f"{BASE}/rates", json={"works": [oil("a", "40", "50", hours="10")]}).json()["hourly"]
    assert (rate["rate"], rate["rate_below"], rate["reached_below"]) == ("0.3975", "0.3974", 0)
    assert (rate["works"][0]["price"], rate["works"][0]["yield_per_hour"]) == (eur("800.00"), eur("32.00"))


@pytest.mark.parametrize(
    ("more", "code", "pointer"),
    [
        ({"share_percent": "0"}, "out-of-range", "#/share_percent"),
        ({"share_percent": "100.1"}, "out-of-range", "#/share_percent"),
        ({"wanted": {"amount": "9", "currency": "JPY"}}, "contradictory-request", "#/wanted/currency"),
        ({"wanted": eur("9.001")}, "contradictory-request", "#/wanted/amount"),
    ],
)
def test_refusals_point_at_the_fault(client: httpx.Client, more: dict, code: str, pointer: str) -> None:
    answer = client.post(f"{BASE}/rates", json={"works": [oil("a", "30", "40", hours="8")], **more})
    assert (answer.status_code, [(e["code"], e["pointer"]) for e in answer.json()["errors"]]) == (422, [(code, pointer)])


@pytest.mark.parametrize(
    ("asked", "pointer"),
    [
        ({"works": []}, "#/works"),
        ({}, "#/works"),
        ({"works": [{"id": "", "work": {"medium": "oil"}}]}, "#/works/0/id"),
        ({"works": [{"id": "a", "work": {"medium": "oil", "hours": 8}}]}, "#/works/0/work/hours"),
        ({"works": [{"id": "a", "work": {"medium": "oil"}}], "share": "80"}, "#/share"),
    ],
)
def test_bodies_that_do_not_fit_the_contract(client: httpx.Client, asked: dict, pointer: str) -> None:
    answer = client.post(f"{BASE}/rates", json=asked)
    assert (answer.status_code, [e["pointer"] for e in answer.json()["errors"]]) == (400, [pointer])


@pytest.mark.parametrize("member", ["alder-lane", "bracken-gouge", "muddlefern", "weftanderel", "glimmerfallow"])
def test_the_largest_and_the_smallest_of_everything_get_an_answer(client: httpx.Client, member: str) -> None:
    most, least = "999999999999", "0.000001"
    media = {row["member"]: row["media"] for row in client.get("/v1/members").json()["members"]}[member]
    sizes = [("100", "m"), (least, "mm"), (most, "m"), ("1", "cm"), ("2", "in")]
    sides = ("height", "width", "depth")
    rows = [(size, told) for size in sizes for told in ((least, most), ("100000", "0.01"), ("0", "0"))]
    works = []
    for name in media:
        for i, ((side, unit), (hours, price)) in enumerate(rows):
            work = {"medium": name, "hours": hours, "size": dict.fromkeys(sides, side) | {"unit": unit}}
            works.append({"id": f"{name}-{i}", "work": work, "price": eur(price)})
    for wanted in ("0", "0.01", most):
        answer = client.post(f"/v1/members/{member}/rates", json={"works": works, "wanted": eur(wanted), "share_percent": "100"})
        assert answer.status_code == 200
