"""A page for every type of problem, for people and for programs."""

import html
import json
import re

import httpx
import pytest

from evenhang.api.problem_pages import problem_types
from evenhang.api.problems import PROBLEMS
from evenhang.api.provoked import HOUSES


@pytest.mark.parametrize("name", PROBLEMS)
def test_every_type_has_its_page(client: httpx.Client, name: str) -> None:
    kind = PROBLEMS[name]
    told = client.get(f"/problems/{name}", headers={"Accept": "application/json"})
    assert (told.status_code, told.headers["content-type"]) == (200, "application/json")
    assert (told.json()["title"], told.json()["cause"], told.json()["cure"]) == (kind.title, kind.cause, kind.cure)
    shown = client.get(f"/problems/{name}", headers={"Accept": "text/html"})
    assert shown.headers["content-type"] == "text/html; charset=utf-8"
    assert shown.headers["vary"].startswith("Accept")
    assert "<h2>What to do</h2>" in shown.text
    assert "default-src 'none'" in shown.headers["content-security-policy"]


def test_a_page_speaks_one_language(client: httpx.Client) -> None:
    """Causes and cures are written in English alone, so the titles beside them are English too, and the page says so."""
    for kind in ("application/json", "text/html"):
        for path in ("/problems", "/problems/not-found"):
            told = client.get(path, headers={"Accept": kind, "Accept-Language": "de"})
            assert (told.headers["content-language"], "Accept-Language" in told.headers["vary"]) == ("en", False)
            assert "There is nothing here" in told.text
    assert client.get("/docs", headers={"Accept-Language": "de"}).headers["content-language"] == "en"


def test_the_index_lists_them_all(client: httpx.Client) -> None:
    listed = client.get("/problems/", headers={"Accept": "application/json"}).json()["problem_types"]
    assert {kind["type"] for kind in listed} == {f"/problems/{name}" for name in PROBLEMS}
    page = client.get("/problems").text
    assert all(f'href="/problems/{name}"' in page for name in PROBLEMS)


def test_every_type_shows_how_it_is_met() -> None:
    for kind in problem_types().values():
        assert kind.example, kind.type
        assert (kind.example.answer["type"], kind.example.answer["status"]) == (kind.type, kind.status)


def test_no_example_of_a_query_has_a_body() -> None:
    asked = {kind.type: kind.example for kind in problem_types().values() if kind.example and kind.example.method == "GET"}
    assert {"/problems/no-rules-in-force", "/problems/rules-moved"} <= set(asked)
    assert asked["/problems/no-rules-in-force"].path.endswith("/rules?as_of=2019-01-01")
    assert [kind for kind, example in asked.items() if example.request is not None] == []


def on_the_page(client: httpx.Client, name: str) -> tuple[str, str]:
    """The request and the answer that the page shows, as a reader copies them."""
    page = client.get(f"/problems/{name}", headers={"Accept": "text/html"}).text
    request, answer = (html.unescape(part) for part in re.findall("<pre>(.*?)</pre>", page, re.S))
    return request, answer


# What no page can show whole is sent by contract/test_provoked.py, as is what other houses decline.
LONG = {"target-too-long", "headers-too-large", "too-large"}
PERFORMED = [name for name, kind in problem_types().items() if kind.example and kind.example.by == HOUSES["open"] and name not in LONG]


@pytest.mark.parametrize("name", PERFORMED)
def test_what_a_page_shows_meets_the_problem(client: httpx.Client, name: str) -> None:
    """Performed as it stands there: method, address, header fields, an empty line, a body."""
    request, answer = on_the_page(client, name)
    head, _, body = request.partition("\n\n")
    first, *fields = head.split("\n")
    method, _, target = first.partition(" ")
    came = client.request(method, target, headers=dict(field.split(": ", 1) for field in fields), content=body or None)
    said, brace, problem = answer.partition("{")
    assert came.json() == json.loads(brace + problem)
    for field in said.splitlines():
        field_name, _, value = field.partition(": ")
        assert came.headers[field_name] == value


def test_no_other_page(client: httpx.Client) -> None:
    answer = client.get("/problems/<script>alert(1)</script>")
    assert (answer.status_code, answer.headers["content-type"]) == (404, "application/problem+json")
    assert "<script>" not in answer.text
    assert client.get("/problems/not-found", headers={"Accept": "image/png"}).status_code == 406


def test_the_problem_of_an_answer_leads_to_its_page(client: httpx.Client) -> None:
    problem = client.get("/nowhere").json()
    assert client.get(problem["type"]).status_code == 200


def test_what_is_shown_is_escaped() -> None:
    from evenhang.api.problem_pages import ProblemExample, ProblemType, _described

    kind = ProblemType(
        "/problems/x", "<b>", 400, "a `<i>` b", "c", ProblemExample("POST", "/<u>", {"a": "<script>"}, "POST /<u>", "by <u>")
    )
    page = _described(kind)
    assert not {"<b>", "<i>", "<u>", "<script>"} & {page[i : i + n] for n in (3, 8) for i in range(len(page))}
    assert "<code>&lt;i&gt;</code>" in page
