"""The yearly review as its callers meet it, over a running server."""

import json
from decimal import Decimal as D

import httpx
import pytest

from evenhang.demo import CATALOGUE


def ask(client: httpx.Client, works: object, **body: object) -> httpx.Response:
    return client.post("/v1/members/alder-lane/reviews", json={"works": works, **body}, timeout=60)


def catalogue() -> list[dict]:
    return json.loads(CATALOGUE.read_text())["alder-lane"]


def test_on_the_day_of_the_list_nothing_moves_but_what_is_planted(client: httpx.Client) -> None:
    """The clean works of the demo are listed at the price of their rules; al-06 kept an old price, al-14 asks 10 less."""
    rows = {row["id"]: row for row in ask(client, catalogue(), as_of="2026-05-01").json()["works"]}
    assert {name for name, row in rows.items() if row["rise"] and D(row["rise"]["amount"]) > 0} == {"al-06", "al-14"}
    assert rows["al-15"]["state"] == "sold"
    assert rows["al-15"]["new_price"] is None


def test_a_year_later_every_row_is_the_quote_of_that_day(client: httpx.Client) -> None:
    answer = ask(client, catalogue(), as_of="2027-05-01", years=1).json()
    for item, row in zip(catalogue(), answer["works"], strict=True):
        if row["state"] == "for-sale":
            quoted = client.post("/v1/members/alder-lane/quotes", json={"work": item["work"], "as_of": "2027-05-01"}).json()["price"]
            assert row["rule_price"] == quoted
            assert D(row["new_price"]["amount"]) == max(D(quoted["amount"]), D(item["price"]["amount"]))
    assert answer["ahead"]["years"][0]["unsold"] == answer["stake"]["new_total"]
    assert [year["on"] for year in answer["ahead"]["years"]] == ["2027-05-01", "2028-05-01"]


def test_an_empty_list_is_an_answer(client: httpx.Client) -> None:
    answer = ask(client, []).json()
    assert (answer["stake"]["works"], answer["rises"]["quantiles"], len(answer["ahead"]["years"])) == (0, [], 6)


def test_a_thousand_works_thirty_years_ahead(client: httpx.Client) -> None:
    works = [{**catalogue()[i % 12], "id": f"w{i}"} for i in range(1000)]
    answer = ask(client, works, as_of="2026-05-01", years=30, kept_back=["w1"]).json()
    assert (len(answer["works"]), len(answer["ahead"]["kept_back"][0]["prices"])) == (1000, 31)


@pytest.mark.parametrize(
    ("body", "status", "pointer"),
    [
        ({"years": 31}, 400, "#/years"),
        ({"years": -1}, 400, "#/years"),
        ({"years": "3"}, 400, "#/years"),
        ({"kept_back": [""]}, 400, "#/kept_back/0"),
        ({"kept_back": ["x"] * 21}, 400, "#/kept_back"),
        ({"as_of": "2024-01-01"}, 422, "#/as_of"),
        ({"as_of": "2127-01-01"}, 422, "#/as_of"),
    ],
)
def test_refusals_point_at_the_fault(client: httpx.Client, body: dict, status: int, pointer: str) -> None:
    answer = ask(client, catalogue()[:1], **body)
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (status, pointer)
