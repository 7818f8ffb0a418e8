"""Yields as their callers meet them, over a running server."""

from decimal import Decimal as D

import httpx
import pytest

BASE = "/v1/members/alder-lane"


def sold(name: str, outlet: str, day: str, price: str, currency: str = "EUR", **more: object) -> dict:
    return {"id": name, "outlet": outlet, "medium": "oil", "sold_on": day, "price": {"amount": price, "currency": currency}, **more}


GOOD = [
    # 990 paid, 90 tax, 900 net; 45 % is 405, 20 % on it 81, 2 % levy 18: 396; over 12 hours 33.00.
    sold("harbour", "quay-gallery", "2026-04-20", "1100.00", discount_percent="10", hours="12"),
    # 150,500 / 1.6 = 94,062.5 -> 94,063 yen, less 3,010 levy: 91,053 / 160.25 = 568.193...; over 20 hours 28.41.
    sold("lantern", "lantern-fair", "2026-04-21", "150500", "JPY", hours="20"),
    # 770 with 70 tax, 14 levy: 686, less the frame's 61; no hours.
    sold("meadow", "studio", "2025-06-01", "770.00", costs=[{"name": "frame", "amount": {"amount": "61.00", "currency": "EUR"}}]),
]
BAD = [
    (sold("meadow", "studio", "2025-06-01", "770.00"), "contradictory-request", "#/works/3/id"),
    (sold("later", "studio", "2026-05-02", "770.00"), "contradictory-request", "#/works/4/sold_on"),
    (sold("early", "studio", "2024-12-31", "770.00"), "no-rules-in-force", "#/works/5/sold_on"),
    (sold("nowhere", "summer-tent", "2026-04-20", "770.00"), "unknown-name", "#/works/6/outlet"),
    (sold("dollars", "studio", "2026-04-20", "770.00", "USD"), "contradictory-request", "#/works/7/price/currency"),
    (sold("unframed", "studio", "2026-04-20", "770.00", costs=[{"name": "frame"}]), "missing-figure", "#/works/8/costs/0/amount"),
    (sold("fresco", "studio", "2026-04-20", "770.00") | {"medium": "fresco"}, "unknown-name", "#/works/9/medium"),
    (sold("gift", "studio", "2026-04-20", "770.00", discount_percent="101"), "out-of-range", "#/works/10/discount_percent"),
    (sold("ages", "studio", "2026-04-20", "770.00", hours="100001"), "out-of-range", "#/works/11/hours"),
]


def euros(amount: str) -> dict:
    return {"amount": amount, "currency": "EUR"}


def yields(client: httpx.Client, works: list[dict], member: str = "alder-lane") -> dict:
    answer = client.post(f"/v1/members/{member}/yields", json={"works": works})
    assert answer.status_code == 200, answer.text
    return answer.json()["yields"]


def test_rows_and_sums_by_pencil(client: httpx.Client) -> None:
    found = yields(client, GOOD)
    rows = [[row[k] and row[k]["amount"] for k in ("sales", "proceeds", "earnings", "yield_per_hour")] for row in found["works"]]
    assert rows == [
        ["990.00", "396.00", "396.00", "33.00"],
        ["939.16", "568.19", "568.19", "28.41"],
        ["770.00", "686.00", "625.00", None],
    ]
    assert [(row["target_met"], row["floor_met"]) for row in found["works"]] == [(True, True), (False, True), (None, None)]
    assert (found["works"][2]["reason"]["pointer"], found["left_out"]) == ("#/works/2/hours", 0)
    whole = found["whole"]
    assert [whole[k]["amount"] for k in ("sales", "proceeds", "earnings")] == ["2699.16", "1650.19", "1589.19"]
    # 964.19 over 32 hours; the middle of 33 and 28.4097 is 30.7048.
    assert (whole["works"], whole["works_with_hours"], whole["hours"]) == (3, 2, "32")
    assert (whole["yield_per_hour"], whole["median_yield_per_hour"]) == (euros("30.13"), euros("30.70"))
    assert (whole["target_met"], whole["floor_met"], found["hourly_target"]) == (1, 2, euros("32.00"))
    assert [s["name"] for s in found["outlets"]] == ["lantern-fair", "quay-gallery", "studio"]
    assert [(s["name"], s["works"]) for s in found["media"] + found["years"]] == [("oil", 3), ("2025", 1), ("2026", 2)]
    assert found["outlets"][2]["yield_per_hour"] is None


def test_one_bad_work_never_sinks_the_rest(client: httpx.Client) -> None:
    found = yields(client, [*GOOD, *(work for work, _, _ in BAD)])
    assert [(row["reason"]["code"], row["reason"]["pointer"]) for row in found["works"][3:]] == [(code, at) for _, code, at in BAD]
    assert all(row["proceeds"] is None and row["reason"]["detail"] for row in found["works"][3:])
    assert found["left_out"] == len(BAD)
    assert found["whole"] == yields(client, GOOD)["whole"]


def test_a_row_is_the_settlement_of_its_day(client: httpx.Client) -> None:
    """The museum paid 55 % until April 2026, then 58 %: of 240 with 40 tax, 110 or 116, less the levy of 4."""
    works = [sold(day, "museum-counter", day, "240.00", hours="4") | {"medium": "linocut"} for day in ("2026-03-31", "2026-04-01")]
    found = yields(client, works, "bracken-gouge")
    assert [row["proceeds"]["amount"] for row in found["works"]] == ["106.00", "112.00"]
    assert len({row["rules_digest"] for row in found["works"]}) == 2
    for work, row in zip(works, found["works"], strict=True):
        asked = {"outlet": work["outlet"], "price": work["price"], "hours": "4", "as_of": work["sold_on"]}
        settled = client.post("/v1/members/bracken-gouge/settlements", json=asked).json()["settlement"]
        assert [settled[k] for k in ("proceeds", "earnings", "yield_per_hour")] == [
            row[k] for k in ("proceeds", "earnings", "yield_per_hour")
        ]


def test_sums_are_the_sums_of_their_rows(client: httpx.Client) -> None:
    prices = (1000 * k + 500 for k in range(50, 110))
    works = [sold(f"w{i}", "lantern-fair", f"202{5 + i % 2}-04-{1 + i % 28:02}", str(p), "JPY", hours="9") for i, p in enumerate(prices)]
    found = yields(client, works)
    for key in ("sales", "proceeds", "earnings"):
        whole = D(found["whole"][key]["amount"])
        assert whole == sum(D(row[key]["amount"]) for row in found["works"])
        assert whole == sum(D(part[key]["amount"]) for part in found["years"])


def test_no_works_are_nothing(client: httpx.Client) -> None:
    whole = yields(client, [])["whole"]
    assert (whole["works"], whole["proceeds"], whole["yield_per_hour"], whole["median_yield_per_hour"]) == (0, euros("0.00"), None, None)


def test_ten_thousand_sales(client: httpx.Client) -> None:
    works = [sold(f"w{i}", "quay-gallery", "2026-04-20", "800.00", hours="10") for i in range(10_000)]
    answer = client.post(f"{BASE}/yields", json={"works": works}, timeout=60).json()["yields"]
    assert (answer["whole"]["proceeds"], answer["whole"]["median_yield_per_hour"]) == (euros("3200000.00"), euros("32.00"))


SEASON = {"income_wanted": euros("18000.00"), "rungs": [{"name": "small", "price": euros("250.00"), "hours": "4.5"}]}


def test_a_years_income_by_rung(client: httpx.Client) -> None:
    """250 hold 22.73 of tax and pay a levy of 4.55: 222.72 at the door, so 81 make 18,040.32. The year's sales left 964.19."""
    season = client.post(f"{BASE}/yields", json={"works": GOOD, **SEASON}).json()["season"]
    assert (season["year"], season["earned"], season["still_wanted"]) == ("2026", euros("964.19"), euros("17035.81"))
    door = season["rungs"][0]["outlets"][0]
    assert (door["earnings"], door["works"], door["income"], door["works_still"]) == (euros("222.72"), 81, euros("18040.32"), 77)
    assert client.post(f"{BASE}/yields", json={"works": GOOD}).json()["season"] is None


@pytest.mark.parametrize(
    ("body", "status", "pointer"),
    [
        ({"rungs": SEASON["rungs"]}, 422, "#/income_wanted"),
        ({"income_wanted": euros("0")}, 422, "#/income_wanted/amount"),
        ({"income_wanted": {"amount": "9", "currency": "JPY"}}, 422, "#/income_wanted/currency"),
        ({**SEASON, "rungs": [{"name": "Small", "price": euros("1")}]}, 400, "#/rungs/0/name"),
        ({**SEASON, "rungs": [{"name": "small", "price": euros("1"), "parts": 0}]}, 400, "#/rungs/0/parts"),
    ],
)
def test_seasons_that_cannot_be_answered(client: httpx.Client, body: dict, status: int, pointer: str) -> None:
    answer = client.post(f"{BASE}/yields", json={"works": [], **body})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (status, pointer)
