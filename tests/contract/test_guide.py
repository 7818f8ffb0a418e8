"""The price guide as its callers meet it, over a running server."""

import httpx
import pytest

BASE = "/v1/members/alder-lane"


def test_the_guide_is_what_the_public_is_quoted(client: httpx.Client) -> None:
    guide = client.get(f"{BASE}/guide").json()["guide"]
    for medium in guide["media"]:
        for row in medium["rows"]:
            for costs, price in (([], row["unframed"]), ([{"name": "frame"}], row["framed"])):
                work = {"medium": medium["medium"], "format": row["format"], "costs": costs}
                assert client.post(f"{BASE}/quotes", json={"work": work}).json()["price"] == price


def test_one_medium_in_another_currency_by_last_years_rules(client: httpx.Client) -> None:
    answer = client.get(f"{BASE}/guide", params={"medium": "oil", "currency": "JPY", "as_of": "2026-03-31"}).json()
    guide = answer["guide"]
    assert [medium["medium"] for medium in guide["media"]] == ["oil"]
    assert (answer["as_of"], guide["valid_from"], guide["valid_until"]) == ("2026-03-31", "2026-03-01", "2026-04-01")
    # 1,200 cm2 x 0.19 = 228; after 6 % 241.68, so 240; x 160.25 = 38,460, in steps of 500: 38,500.
    assert guide["media"][0]["rows"][0]["unframed"] == {"amount": "38500", "currency": "JPY"}


def test_a_pin_holds(client: httpx.Client) -> None:
    digest = client.get(f"{BASE}/guide").json()["rules"]["digest"]
    assert client.get(f"{BASE}/guide", params={"rules_digest": digest}).status_code == 200
    assert client.get(f"{BASE}/guide", params={"rules_digest": "0" * 64}).status_code == 409


@pytest.mark.parametrize(
    ("query", "status", "pointer"),
    [
        ("medium=fresco", 422, "#/medium"),
        ("currency=KWD", 422, "#/currency"),
        ("currency=yen", 400, "#/currency"),
        ("as_of=2024-12-31", 422, "#/as_of"),
        ("as_of=9999-12-31", 422, "#/as_of"),
        ("as_of=soon", 400, "#/as_of"),
        ("rules_digest=1", 400, "#/rules_digest"),
        ("view=member", 400, "#/view"),
    ],
)
def test_what_cannot_be_answered(client: httpx.Client, query: str, status: int, pointer: str) -> None:
    answer = client.get(f"{BASE}/guide?{query}")
    assert answer.status_code == status, answer.text
    assert answer.json()["errors"][0]["pointer"] == pointer


def test_no_such_member(client: httpx.Client) -> None:
    assert client.get("/v1/members/nobody/guide").status_code == 404


def test_a_quote_thousands_of_years_ahead_is_declined(client: httpx.Client) -> None:
    """It was a fault of ours (500): 6 % a year over 8,000 years leaves every decimal behind."""
    work = {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}}
    answer = client.post(f"{BASE}/quotes", json={"as_of": "9999-12-31", "work": work})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/as_of")
