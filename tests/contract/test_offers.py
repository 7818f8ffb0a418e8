"""Offers as their callers meet them: sealed and verified over a running server."""

import base64
import json
from typing import Any

import httpx
import pytest

from evenhang.demo import CATALOGUE
from evenhang.sealing.seal import MOST_CHARACTERS

OFFERS, VERIFY = "/v1/members/alder-lane/offers", "/v1/offers/verify"
WORK = {"medium": "oil", "title": "Low water", "size": {"height": "60", "width": "80", "unit": "cm"}, "costs": [{"name": "frame"}]}
MARCH, APRIL, MAY = "2026-03-20", "2026-04-10", "2026-05-01"


def sealed(client: Any, on: str = MAY, **more: Any) -> dict[str, Any]:
    answer = client.post(OFFERS, json={"work": WORK, "as_of": on, **more})
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def verified(client: Any, token: str, on: str = MAY, **more: Any) -> dict[str, Any]:
    answer = client.post(VERIFY, json={"token": token, "as_of": on, **more})
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def test_an_offer_seals_the_public_quote(client: httpx.Client) -> None:
    answer = sealed(client)
    quote = client.post("/v1/members/alder-lane/quotes", json={"work": WORK, "as_of": MAY}).json()
    assert answer["quote"] == quote
    assert (answer["quote"]["price"]["amount"], answer["last_on"]) == ("940.00", "2026-05-31")
    said = verified(client, answer["token"])
    assert (said["genuine"], said["standing"], said["state"], said["reason"]) == (True, True, "standing", None)
    assert (said["offer"]["id"], said["offer"]["price"]) == (answer["offer_id"], quote["price"])
    assert said["offer"]["outlets"] == [{"outlet": o["outlet"], "price": o["price"]} for o in quote["outlets"]]
    assert (said["rules_moved"], said["price_now"]) == (False, quote["price"])
    assert "proves nothing" in said["note"]
    assert "licensed adviser" in said["caution"]


def test_how_long_it_stands(client: httpx.Client) -> None:
    """The house says 30 days where nobody says otherwise, the weaving workshop 60 (its rules)."""
    assert [sealed(client, stands_days=days)["last_on"] for days in (1, 366)] == ["2026-05-02", "2027-05-02"]
    work = {"medium": "tapestry", "size": {"height": "30", "width": "30", "unit": "cm"}}
    woven = client.post("/v1/members/weftanderel/offers", json={"work": work, "as_of": MAY}).json()
    assert woven["last_on"] == "2026-06-30"


@pytest.mark.parametrize(
    ("on", "standing", "state"),
    [("2026-04-30", False, "not-yet"), (MAY, True, "standing"), ("2026-05-31", True, "standing"), ("2026-06-01", False, "expired")],
)
def test_standing_by_the_day(client: httpx.Client, on: str, standing: bool, state: str) -> None:
    said = verified(client, sealed(client)["token"], on)
    assert (said["genuine"], said["standing"], said["state"]) == (True, standing, state)
    assert (said["reason"] or {"code": "standing"})["code"] == state
    assert said["as_of"] == on


def test_it_stands_although_the_rules_moved_on(client: httpx.Client) -> None:
    """Sealed at 910 by the rules of March; those of April make it 940."""
    said = verified(client, sealed(client, MARCH)["token"], APRIL)
    assert (said["standing"], said["rules_moved"]) == (True, True)
    assert (said["offer"]["price"]["amount"], said["price_now"]["amount"]) == ("910.00", "940.00")
    assert "910.00 EUR" in said["statement"]
    assert "940.00 EUR" in said["statement"]


def test_a_pin_on_the_rules_of_the_day(client: httpx.Client) -> None:
    token = sealed(client)["token"]
    now = verified(client, token)["rules"]["digest"]
    assert verified(client, token, rules_digest=now)["price_now"]
    answer = client.post(VERIFY, json={"token": token, "as_of": MAY, "rules_digest": "0" * 64})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (409, "#/rules_digest")


def changed(token: str, old: bytes, new: bytes) -> str:
    head, payload, signature = token.split(".")
    raw = base64.urlsafe_b64decode(payload + "=" * (-len(payload) % 4))
    assert old in raw
    return f"{head}.{base64.urlsafe_b64encode(raw.replace(old, new)).rstrip(b'=').decode()}.{signature}"


def test_a_changed_token_is_an_answer_that_says_nothing_of_its_content(client: httpx.Client) -> None:
    said = verified(client, changed(sealed(client)["token"], b"940.00", b"490.00"))
    assert (said["genuine"], said["standing"], said["reason"]["code"]) == (False, False, "wrong-signature")
    assert [said[name] for name in ("offer", "state", "rules", "rules_moved", "price_now")] == [None] * 5
    assert "490" not in json.dumps(said)


@pytest.mark.parametrize(
    ("body", "status", "code", "pointer"),
    [
        ({"token": "a.b"}, 422, "garbled-token", "#/token"),
        ({"token": ""}, 422, "garbled-token", "#/token"),
        ({"token": "\u00e9.\u00e9.\u00e9"}, 422, "garbled-token", "#/token"),
        ({"token": "A" * (MOST_CHARACTERS + 1)}, 400, "invalid", "#/token"),
        ({"token": 1}, 400, "invalid", "#/token"),
        ({}, 400, "invalid", "#/token"),
        ({"token": "a.b.c", "view": "member"}, 400, "invalid", "#/view"),
    ],
)
def test_what_is_no_token_is_refused_with_a_pointer(client: httpx.Client, body: dict, status: int, code: str, pointer: str) -> None:
    answer = client.post(VERIFY, json=body)
    assert (answer.status_code, answer.headers["content-type"]) == (status, "application/problem+json")
    assert [(e["code"], e["pointer"]) for e in answer.json()["errors"]] == [(code, pointer)]
    assert len(answer.content) < 1_000


@pytest.mark.parametrize(
    ("changes", "status", "code", "pointer"),
    [
        ({"stands_days": 0}, 400, "invalid", "#/stands_days"),
        ({"stands_days": 367}, 400, "invalid", "#/stands_days"),
        ({"stands_days": "30"}, 400, "invalid", "#/stands_days"),
        ({"work": {**WORK, "medium": "fresco"}}, 422, "unknown-name", "#/work/medium"),
        ({"work": {**WORK, "title": "\N{HEAVY CHECK MARK}" * 201}}, 400, "invalid", "#/work/title"),
        ({"as_of": "2024-12-31"}, 422, "no-rules-in-force", "#/as_of"),
        ({"as_of": "2025-01-15"}, 409, "no-offer-key", "#"),
        ({"as_of": "9999-12-31"}, 422, "no-rules-in-force", "#/as_of"),
        ({"rules_digest": "0" * 64}, 409, "rules-moved", "#/rules_digest"),
    ],
)
def test_refusals_point_at_the_fault(client: httpx.Client, changes: dict, status: int, code: str, pointer: str) -> None:
    answer = client.post(OFFERS, json={"work": WORK, "as_of": MAY, **changes})
    assert (answer.status_code, [(e["code"], e["pointer"]) for e in answer.json()["errors"]]) == (status, [(code, pointer)])


def test_many_panels_fit_no_qr_code(client: httpx.Client) -> None:
    panels = [{"height": f"{20 + i}.25", "width": f"{30 + i}.125", "unit": "cm"} for i in range(50)]
    answer = client.post(OFFERS, json={"work": {"medium": "oil", "panels": panels}, "as_of": MAY})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/work")
    assert "QR code" in answer.json()["detail"]


def test_every_work_of_the_demo_fits_under_900_characters_and_comes_back(client: httpx.Client) -> None:
    done, gone = 0, []
    for member, works in json.loads(CATALOGUE.read_text()).items():
        for item in works:
            answer = client.post(f"/v1/members/{member}/offers", json={"work": item["work"], "as_of": MAY})
            if answer.status_code != 200:
                gone.append(item["id"])
                continue
            assert len(answer.json()["token"]) < 900, item["id"]
            said = verified(client, answer.json()["token"])
            assert said["offer"]["price"] == answer.json()["quote"]["price"]
            assert said["price_now"] == (said["offer"]["price"] if said["offer"]["repriceable"] else None)
            assert (said["price_now_reason"] is None) == said["offer"]["repriceable"]
            done += 1
    assert gone == ["bg-14", "gf-14"]  # they name an extra and a medium that their rules have given up (PLANTED.md)
    assert done > 70


def test_a_cost_that_the_public_quote_hides_is_not_named(client: httpx.Client) -> None:
    """The laboratory's bill is in the price at cost and not shown; the yarn is absorbed; the hanging bar is shown (the demo's rules)."""
    tried = {
        ("glimmerfallow", "pigment-print", "laboratory"): [],
        ("weftanderel", "tapestry", "bar"): ["bar"],
        ("weftanderel", "tapestry", "yarn"): [],
    }
    for (member, medium, cost), covers in tried.items():
        size, amount = {"height": "30", "width": "30", "unit": "cm"}, {"amount": "41.17", "currency": "EUR"}
        work = {"medium": medium, "size": size, "costs": [{"name": cost, "amount": amount}], "hours": "17.25"}
        answer = client.post(f"/v1/members/{member}/offers", json={"work": work, "as_of": MAY}).json()
        payload = base64.urlsafe_b64decode(answer["token"].split(".")[1] + "==").decode()
        said = verified(client, answer["token"])
        assert said["offer"]["work"].get("covers", []) == covers
        assert said["offer"]["repriceable"] is (cost == "yarn"), cost
        assert not [word for word in ("41.17", "17.25", "hours", *({cost} - set(covers))) if word in payload + json.dumps(said["offer"])]
