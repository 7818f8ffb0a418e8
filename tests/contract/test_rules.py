"""Rules over a running server: in force on a day, by digest, tried, and checked before they are served."""

import json
from decimal import Decimal as D
from typing import Any

import httpx
import pytest
from tests.rulebook.folders import FILES, OWN, edited

from evenhang.api.access import Access
from evenhang.api.calls import Call
from evenhang.api.problems import Declined
from evenhang.api.quotes import QuoteRequest, quote
from evenhang.engine.works import Work
from evenhang.rulebook.book import RuleBook

BASE = "/v1/members/alder-lane"
DAY = "2026-05-01"
WORK = {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}}


def values(answer: dict[str, Any]) -> dict[str, tuple[str, str, str]]:
    return {row["path"]: (row["value"], row["layer"], row["since"]) for row in answer["values"]}


def test_the_rules_in_force_with_their_origins(client: httpx.Client) -> None:
    answer = client.get(f"{BASE}/rules", params={"as_of": DAY}).json()
    found = values(answer)
    assert found["media.oil.schedule.bands[1].rate"] == ("0.21", "members/alder-lane/2026-04-01.toml", "2026-04-01")
    assert found["media.oil.minimum"] == ("90", "members/alder-lane/2025-01-01.toml", "2025-01-01")
    assert found["rounding.steps[0].below"] == ("200", "house/2025-01-01.toml", "2025-01-01")
    assert found["fx.JPY.on"][0] == "2025-01-01"
    assert found["costs.frame.frame"][0] == "true"
    assert "outlets.summer-tent.title" not in found  # given up in April
    earlier = values(client.get(f"{BASE}/rules", params={"as_of": "2025-06-01"}).json())
    assert earlier["media.oil.schedule.bands[1].rate"][0] == "0.19"
    assert "outlets.summer-tent.title" in earlier


def test_any_loaded_set_by_its_digest(client: httpx.Client) -> None:
    old = client.get(f"{BASE}/rules", params={"as_of": "2025-06-01"}).json()
    answer = client.get(f"/v1/rule-sets/{old['rules']['digest']}").json()
    assert answer == {"member": "alder-lane", "rules": old["rules"], "values": old["values"]}
    assert client.get("/v1/rule-sets/" + "0" * 64).status_code == 404


@pytest.mark.parametrize(("query", "status"), [
    ("as_of=soon", 400), ("as_of=2026-05-01&as_of=2026-05-02", 400), ("asof=2026-05-01", 400), ("as_of=2019-01-01", 422),
    ("rules_digest=" + "0" * 64, 409), ("", 200),
])  # fmt: skip
def test_queries_are_read_strictly(client: httpx.Client, query: str, status: int) -> None:
    answer = client.get(f"{BASE}/rules?{query}")
    assert answer.status_code == status
    assert answer.headers["content-type"] == ("application/json" if status == 200 else "application/problem+json")


def ask(client: httpx.Client, tried: Any, **more: Any) -> httpx.Response:
    return client.post(f"{BASE}/quotes", json={"as_of": DAY, "work": WORK, "view": "member", **more, "try": tried})


def oil(**schedule: Any) -> dict[str, Any]:
    return {"media": {"oil": {"schedule": schedule}}}


def test_a_what_if_by_pencil(client: httpx.Client) -> None:
    """4,800 cm2 x 0.20 + 40 = 1000, a limit of the grid; by the rules in force it is 840."""
    straight = ask(client, None).json()
    tried = ask(client, {"media": {"oil": {"schedule": {"kind": "flat", "rate": "0.20", "base": "40"}}}}).json()
    assert (straight["price"]["amount"], straight["rules"]["tried"]) == ("840.00", False)
    assert (tried["price"]["amount"], tried["rules"]["tried"]) == ("1000.00", True)
    assert tried["lines"][0]["rule"]["layer"] == "try"
    assert tried["rules"]["digest"] != straight["rules"]["digest"]
    assert tried["rules"]["effective_from"] == straight["rules"]["effective_from"]
    assert ask(client, {}).json() == straight


def test_a_what_if_changes_nothing_for_others(client: httpx.Client) -> None:
    before = ask(client, None).content
    tried = {"rounding": {"steps": [{"step": "10"}]}}
    assert ask(client, tried).content == ask(client, tried).content != before
    assert ask(client, None).content == before


def test_a_pin_names_the_rules_below_a_what_if(client: httpx.Client) -> None:
    digest = ask(client, None).json()["rules"]["digest"]
    tried = {"levy_percent": "3"}
    other = ask(client, tried).json()["rules"]["digest"]
    assert [ask(client, tried, rules_digest=pin).status_code for pin in (digest, other)] == [200, 409]


def test_every_computation_takes_a_what_if(client: httpx.Client) -> None:
    """1,100 sold in the gallery: 1,000 net, 60 % commission 600, 20 % on it 120, 2 % levy 20: 260 left."""
    tried = {"outlets": {"quay-gallery": {"terms": {"kind": "commission", "percent": "60"}}}}
    price = {"amount": "1100.00", "currency": "EUR"}
    sold = {"id": "a", "medium": "oil", "outlet": "quay-gallery", "price": price, "sold_on": "2026-04-15"}
    bodies: dict[str, dict[str, Any]] = {
        "settlements": {"outlet": "quay-gallery", "price": price}, "targets": {"figure": "proceeds", "wanted": price},
        "checks": {"works": []}, "yields": {"works": [sold]},
    }  # fmt: skip
    answers = {name: client.post(f"{BASE}/{name}", json={**body, "as_of": DAY, "try": tried}).json() for name, body in bodies.items()}
    assert {name: answer["rules"]["tried"] for name, answer in answers.items()} == dict.fromkeys(bodies, True)
    assert answers["settlements"]["settlement"]["proceeds"]["amount"] == "260.00"
    assert answers["yields"]["yields"]["works"][0]["proceeds"]["amount"] == "260.00"
    assert D(answers["targets"]["target"]["price"]["amount"]) > 4000


REFUSED = [
    ({"media": {"oil": {"schedule": {"kind": "flat", "rate": 0.2}}}}, 422, ["#/try/media/oil/schedule/rate"]),
    ({"media": {"oil": {"minimum": 90}}}, 422, ["#/try/media/oil/minimum"]),
    ({"media": {"oil": {"minimum": "91"}}}, 422, ["#/try/media/oil/minimum"]),
    ({"media": {"oil": {"schedule": {"kind": "graduated", "bands": [{"to": "9", "rate": "1"}, {"to": "5", "rate": "1"}]}}}}, 422,
     ["#/try/media/oil/schedule/bands/1/to"] * 2),
    ({"levy_precent": "3", "colour": "x"}, 422, ["#/try/levy_precent", "#/try/colour"]),
    ({"a/b~": 1}, 422, ["#/try/a~1b~0"]),
    ({"media.oil.minimum": "3"}, 422, ["#/try/media.oil.minimum"]),  # a key with dots is one step
    ({"media": {"oil": {"a[0].b": 1}}}, 422, ["#/try/media/oil/a%5B0%5D.b"]),
    ({"é ": 1}, 422, ["#/try/%C3%A9%20"]),
    # 98 % of the net sale and 2 % of it are all of it, whatever tax is contained in the price.
    ({"levy_percent": "2", "tax": {"kind": "included", "percent": "10"}, "outlets": {"studio": {
        "terms": {"kind": "commission", "percent": "98"}, "tax_on_commission": {"kind": "removed"}, "payment_fee": {"kind": "removed"}}}},
     422, ["#/try/outlets/studio/terms"]),
    ({"fx": {"JPY": {"on": "someday"}}}, 422, ["#/try/fx/JPY/on"]),
    ({"sells_in": []}, 422, ["#/try/sells_in"]),
    ({"media": {"oil": {"kind": "removed"}}}, 422, ["#/try"] * 2),  # two formats of the file still want oil
    ({"rounding": {"steps": [{"step": "50"}]}}, 422, ["#/try"]),  # the file's minimum of 90 is off that grid
    ({"a": [[[[[[[[[[[[[[1]]]]]]]]]]]]]]}, 422, ["#/try"]),
    ({f"k{i}": 1 for i in range(501)}, 400, ["#/try"]),
    ({"a": [1] * 501}, 422, ["#/try"]),
    ([], 400, ["#/try"]),
    ("x", 400, ["#/try"]),
]  # fmt: skip


@pytest.mark.parametrize(("tried", "status", "pointers"), REFUSED)
def test_a_bad_what_if_is_refused_where_it_stands(client: httpx.Client, tried: Any, status: int, pointers: list[str]) -> None:
    answer = ask(client, tried)
    problem = answer.json()
    assert (answer.status_code, [e["pointer"] for e in problem["errors"]]) == (status, pointers), problem
    assert problem["type"] == ("/problems/refused-rules" if status == 422 else "/problems/malformed-request")


DOUBLED = {"increase": {"base_date": "1900-01-01", "yearly_percent": "100"}}


@pytest.mark.parametrize("tried", [
    oil(kind="flat", rate="999999999999"),
    oil(kind="power", reference_price="9", reference_measure="0.000000000001", exponent="2"),
    DOUBLED,
    oil(kind="graduated", bands=[{"to": "9999", "rate": "0"}, {"rate": "1"}]) | DOUBLED,
])  # fmt: skip
def test_prices_beyond_all_digits_are_declined(client: httpx.Client, tried: Any) -> None:
    answer = ask(client, tried, work={**WORK, "extras": [{"name": "gilded-edge"}]})
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/out-of-range")


def test_a_part_of_what_was_set_whole_is_tried(client: httpx.Client) -> None:
    """The rate of the frame's estimate, two tables down in one that has a kind; and one listed price of several."""
    dearer = {"costs": {"frame": {"estimate": {"schedule": {"rate": "1"}}}}}
    work = {**WORK, "costs": [{"name": "frame"}]}
    # 12 + (60 + 80) x 1 = 152.
    assert next(c for c in ask(client, dearer, work=work).json()["lines"] if c["code"] == "cost:frame")["working"].startswith("152,")
    folio = {
        "work": {"medium": "folio", "format": "a3"},
        "as_of": DAY,
        "try": {"media": {"folio": {"schedule": {"prices": {"a3": "480"}}}}},
    }
    asked = client.post("/v1/members/glimmerfallow/quotes", json={**folio, "view": "member"}).json()
    assert asked["lines"][0]["amount"]["amount"] == "480.00"


def test_each_work_of_a_batch_may_have_a_what_if_of_its_own(client: httpx.Client) -> None:
    row = {"id": "a", "member": "alder-lane", "work": WORK}
    tried = {**row, "try": {"rounding": {"steps": [{"step": "10"}]}}}
    wrong = {**row, "try": {"levy_precent": "3"}}
    answer = client.post("/v1/quotes", json={"works": [row, tried, wrong], "as_of": DAY}).json()["rows"]
    assert answer[0]["rules_digest"] != answer[1]["rules_digest"]
    assert answer[1]["price"] == ask(client, tried["try"]).json()["price"]
    assert answer[2]["reason"]["pointer"] == "#/try/levy_precent"


def test_a_null_says_nothing(client: httpx.Client) -> None:
    assert ask(client, {"levy_percent": None, "media": {"oil": {"minimum": None}}}).json()["price"]["amount"] == "840.00"


def test_a_what_if_needs_the_books(book: RuleBook) -> None:
    asked = QuoteRequest(Work(medium="oil"), try_={"levy_percent": "3"})
    call = Call(book, "alder-lane", book.segments["alder-lane"][-1].effective_from, asked, access=Access("desk", frozenset({"desk"})))
    with pytest.raises(Declined) as declined:
        quote(call)
    assert declined.value.problem.status == 403


def sent(files: dict[str, str]) -> dict[str, Any]:
    return {"files": [{"file": path, "text": text} for path, text in files.items()]}


def test_rule_checks_say_what_a_start_would(client: httpx.Client) -> None:
    good = client.post("/v1/rule-checks", json=sent(FILES)).json()
    assert (good["accepted"], good["faults"], [m["member"] for m in good["members"]]) == (True, [], ["thimble-yard"])
    assert len(good["members"][0]["rule_sets"]) == 1
    bad = client.post("/v1/rule-checks", json=sent(edited(OWN, "minimum = 60", "minimun = 60"))).json()
    assert (bad["accepted"], bad["members"]) == (False, [])
    assert [(f["file"], f["key"], f["line"], f["warning"]) for f in bad["faults"]] == [(OWN, "media.oil.minimun", 7, False)]


@pytest.mark.parametrize(
    "files", [{"../../etc/passwd": ""}, {"house/2025-01-01.toml": "\ud800"}, {"house/2025-01-01.toml": "a=" + "[" * 90_000}]
)
def test_hostile_files_get_an_answer(client: httpx.Client, files: dict[str, str]) -> None:
    content = json.dumps(sent(files)).encode()
    answer = client.post("/v1/rule-checks", content=content, headers={"content-type": "application/json"})
    assert answer.status_code in (200, 400)
    if answer.status_code == 200:
        assert answer.json()["accepted"] is False
