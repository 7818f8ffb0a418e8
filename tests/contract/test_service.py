"""The service as its callers meet it: quotes, settlements, checks, the contract, hostile input."""

import json
from decimal import Decimal as D
from pathlib import Path

import httpx
import pytest
from openapi_spec_validator import validate

from evenhang.api.contract import contract_bytes
from evenhang.api.problems import PROBLEMS
from evenhang.engine.refusals import Refusal

ROOT = Path(__file__).parents[2]
BASE = "/v1/members/alder-lane"
WORK = {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}, "costs": [{"name": "frame"}], "hours": "20"}


def total(lines: list[dict]) -> D:
    return sum((D(line["amount"]["amount"]) for line in lines), D(0))


def test_quote_by_pencil(client: httpx.Client) -> None:
    """4,800 cm2 x 0.17 = 816, held at 4,000 x 0.21 = 840; frame 12 + 140 x 0.35 = 61, recovered where 60 % is added to the net
    and the levy takes 2 %: 61 / (100 / 160 - 0.02) = 100.83; 940.83 to the nearest 10 is 940."""
    answer = client.post(f"{BASE}/quotes", json={"work": WORK, "view": "member"}).json()
    assert answer["price"] == {"amount": "940.00", "currency": "EUR"}
    assert [(line["code"], line["amount"]["amount"]) for line in answer["lines"]] == [
        ("size", "840.00"), ("cost:frame", "100.83"), ("rounding", "-0.83")]  # fmt: skip
    assert "dearest smaller size" in answer["lines"][0]["working"]
    assert answer["lines"][0]["rule"]["layer"] == "members/alder-lane/2026-04-01.toml"
    for settled in answer["settlements"]:
        assert sum(D(share["amount"]["amount"]) for share in settled["shares"]) == D(settled["buyer_pays"]["amount"])


def test_public_view_holds_no_private_figure(client: httpx.Client) -> None:
    answer = client.post(f"{BASE}/quotes", json={"work": WORK}).json()
    assert total(answer["lines"]) == D(answer["price"]["amount"])
    assert not {"settlements", "hours", "working", "proceeds", "rule"} & set(json.dumps(answer).replace('"', " ").split())


def test_last_year_is_priced_with_last_years_rules(client: httpx.Client) -> None:
    asked = {"work": {"medium": "oil", "size": WORK["size"]}, "as_of": "2025-02-01"}
    answer = client.post(f"{BASE}/quotes", json=asked).json()
    assert answer["price"]["amount"] == "770.00"  # 4,800 x 0.16 = 768, above the plateau of 760
    assert answer["rules"]["effective_until"] == "2026-04-01"


def test_increase_on_the_anniversary(client: httpx.Client) -> None:
    work = {"medium": "oil", "size": WORK["size"]}
    prices = [
        client.post(f"{BASE}/quotes", json={"work": work, "as_of": day}).json()["price"]["amount"] for day in ("2026-02-28", "2026-03-01")
    ]
    assert prices == ["770.00", "810.00"]  # 768 x 1.06 = 814.08


def test_settlement_with_discount(client: httpx.Client) -> None:
    asked = {"outlet": "quay-gallery", "price": {"amount": "1100.00", "currency": "EUR"}, "discount_percent": "10"}
    settled = client.post(f"{BASE}/settlements", json=asked).json()["settlement"]
    # 990 paid, 90 tax, 900 net; 45 % is 405, 20 % on it 81, 2 % levy 18: 396 left.
    assert settled["proceeds"]["amount"] == "396.00"
    assert "licensed adviser" in settled["caution"]


HOSTILE = [
    (b'{"work": {"medium": "oil", "size": {"height": 60, "width": "80", "unit": "cm"}}}', 400, "#/work/size/height"),
    (b'{"work": {"medium": "oil", "size": {"height": "NaN", "unit": "cm"}}}', 400, "#/work/size/height"),
    (b'{"work": {"medium": "oil", "size": {"height": "1e999999", "unit": "cm"}}}', 400, "#/work/size/height"),
    ('{"work": {"medium": "oil", "size": {"height": "６０", "unit": "cm"}}}'.encode(), 400, "#/work/size/height"),
    (b'{"work": {"medium": "oil", "size": {"height": "60\\n", "unit": "cm"}}}', 400, "#/work/size/height"),
    (b'{"work": {"medium": "oil"}, "wrok": 1}', 400, "#/wrok"),
    (b'{"work": {"medium": "fresco"}}', 422, "#/work/medium"),
    (b'{"work": {"medium": "oil", "size": {"height": "60", "unit": "cm"}}}', 422, "#/work/size/width"),
    (b'{"work": {"medium": "oil", "title": "\\ud800"}}', 400, None),
    (b'{"work": {"medium": "oil"}, "work": {"medium": "oil"}}', 400, None),
    (b'{"work": "\xff"}', 400, None),
    (b"[" * 100_000, 400, None),
    (b"", 400, None),
    (b"NaN", 400, None),
    (b"1" * 5_000, 400, None),
]


@pytest.mark.parametrize(("raw", "status", "pointer"), HOSTILE)
def test_hostile_bytes_get_a_clean_problem(client: httpx.Client, raw: bytes, status: int, pointer: str | None) -> None:
    answer = client.post(f"{BASE}/quotes", content=raw, headers={"content-type": "application/json"})
    assert (answer.status_code, answer.headers["content-type"]) == (status, "application/problem+json")
    problem = answer.json()
    assert problem["type"].startswith("/problems/")
    assert [e["pointer"] for e in problem.get("errors", [])] == ([pointer] if pointer else [])


def test_the_frameworks_own_errors_are_problems(client: httpx.Client) -> None:
    answers = [
        client.get("/v1/nothing"), client.get(f"{BASE}/quotes"), client.post("/v1/members/nobody/quotes", json={"work": WORK}),
        client.post(f"{BASE}/quotes", content=b"{}", headers={"content-type": "text/plain"}),
        client.post("/v1/members/%00/quotes", json={"work": WORK}),
    ]  # fmt: skip
    assert [a.status_code for a in answers] == [404, 405, 404, 415, 404]
    assert {a.headers["content-type"] for a in answers} == {"application/problem+json"}
    assert "POST" in answers[1].headers["allow"]


def test_head_is_get_without_its_body(client: httpx.Client) -> None:
    answer = client.head("/v1/members")
    assert (answer.status_code, answer.content) == (200, b"")


def test_same_request_same_bytes(client: httpx.Client) -> None:
    first, second = (client.post(f"{BASE}/quotes", json={"work": WORK}).content for _ in range(2))
    assert first == second


def test_pinned_rules_are_never_silently_replaced(client: httpx.Client) -> None:
    answer = client.post(f"{BASE}/quotes", json={"work": WORK, "rules_digest": "0" * 64})
    assert answer.status_code == 409


def test_contract_is_valid_and_committed() -> None:
    validate(json.loads(contract_bytes()))
    assert (ROOT / "openapi" / "openapi.json").read_bytes() == contract_bytes()


def test_every_refusal_has_its_row() -> None:
    assert {kind.code for kind in Refusal.__subclasses__()} <= set(PROBLEMS)
