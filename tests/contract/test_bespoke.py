"""Works made to order as their callers meet them, over a running server."""

from decimal import Decimal as D

import httpx
import pytest

OIL = {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}}
PRIVATE = ("working", "rule", "hours", "settlements", "outcome", "proceeds", "earnings", "commission", "yield_per_hour", "leaks")


def ask(client: httpx.Client, member: str = "alder-lane", **body: object) -> httpx.Response:
    return client.post(f"/v1/members/{member}/bespoke-quotes", json={"work": OIL, **body})


def test_the_public_view_by_default_holds_nothing_private(client: httpx.Client) -> None:
    """4,800 cm2 are held at 840; 15 % are 126: 966, to 970."""
    work = {**OIL, "hours": "20", "costs": [{"name": "frame"}]}
    answer = ask(client, work=work).json()
    assert [line["code"] for line in answer["lines"]] == ["art", "uplift", "cost:frame", "rounding"]
    text = ask(client, work=work).text
    assert not [word for word in PRIVATE if f'"{word}":' in text]
    assert "settlements" in ask(client, work=work, view="member").json()


def test_stages_sum_to_the_price_and_its_tax(client: httpx.Client) -> None:
    for member, medium in (("alder-lane", "oil"), ("bracken-gouge", "linocut"), ("weftanderel", "tapestry")):
        answer = ask(client, member, work={**OIL, "medium": medium}).json()
        for whole, part in (("price", "amount"), ("tax", "tax")):
            assert sum(D(stage[part]["amount"]) for stage in answer["stages"]) == D(answer[whole]["amount"])
        assert answer["stages"][-1]["paid"] == answer["price"]


def test_the_last_day_it_stands(client: httpx.Client) -> None:
    assert ask(client, as_of="2026-05-01").json()["stands_last_on"] == "2026-05-31"
    assert ask(client, "weftanderel", work={**OIL, "medium": "tapestry"}, as_of="2028-02-25").json()["stands_last_on"] == "2028-03-06"


def test_an_order_asks_more_than_the_same_work_from_the_wall(client: httpx.Client) -> None:
    quoted = client.post("/v1/members/alder-lane/quotes", json={"work": OIL}).json()["price"]["amount"]
    assert (quoted, ask(client).json()["price"]["amount"]) == ("840.00", "970.00")


@pytest.mark.parametrize(
    ("member", "body", "status", "code", "pointer"),
    [
        ("glimmerfallow", {}, 422, "not-offered", "#"),
        ("alder-lane", {"work": {**OIL, "medium": "fresco"}}, 422, "unknown-name", "#/work/medium"),
        ("alder-lane", {"work": {**OIL, "extras": [{"name": "angel"}]}}, 422, "unknown-name", "#/work/extras/0/name"),
        ("alder-lane", {"uplift_percent": "3"}, 400, "invalid", "#/uplift_percent"),
        ("alder-lane", {"view": "house"}, 400, "invalid", "#/view"),
        ("alder-lane", {"as_of": "9999-12-31"}, 422, "no-rules-in-force", "#/as_of"),
        ("alder-lane", {"rules_digest": "0" * 64}, 409, "rules-moved", "#/rules_digest"),
    ],
)
def test_refusals_point_at_the_fault(client: httpx.Client, member: str, body: dict, status: int, code: str, pointer: str) -> None:
    answer = ask(client, member, **body)
    assert (answer.status_code, answer.json()["errors"][0]["code"], answer.json()["errors"][0]["pointer"]) == (status, code, pointer)


def test_a_day_in_the_far_future_is_declined_everywhere(client: httpx.Client) -> None:
    answer = client.post("/v1/members/alder-lane/quotes", json={"work": OIL, "as_of": "9999-12-31"})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/as_of")
    assert client.post("/v1/members/alder-lane/quotes", json={"work": OIL, "as_of": "2126-12-31"}).status_code == 200
