"""Pictures as their callers meet them: by Accept, within their policy, and declined where nothing can be drawn."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import date

import httpx
import pytest
from litestar import Litestar

from evenhang.api import edge, guide_forms, pictured
from evenhang.api.examples import load_examples
from evenhang.api.operations import OPERATIONS
from evenhang.app import create_app
from evenhang.pictures.canvas import SVG
from evenhang.rulebook.book import RuleBook

DRAWN = {op.id: op for op in OPERATIONS if SVG in op.media}
# One example for each operation that draws.
EXAMPLES = {e.operation: e for e in load_examples() if e.status == 200 and e.operation in DRAWN}
GUIDE = "/v1/members/alder-lane/guide"


def test_what_draws() -> None:
    assert set(DRAWN) == {"readGuide", "checkCatalogue", "buildLadder", "reviewList", "settleSale"} == set(EXAMPLES)


@pytest.mark.parametrize("operation", DRAWN)
def test_a_picture_is_drawn_for_whoever_takes_one(client: httpx.Client, operation: str) -> None:
    op, example = DRAWN[operation], EXAMPLES[operation]
    sent = {"params": example.body()} if op.method == "GET" else {"content": example.request}
    headers = {"content-type": "application/json", "accept": SVG}
    answer = client.request(op.method, example.path(op.path, op.base), headers=headers, **sent)
    assert (answer.status_code, answer.headers["content-type"]) == (200, SVG), answer.text[:300]
    assert answer.headers["content-security-policy"].startswith("default-src 'none'; style-src 'unsafe-inline';")
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "Accept" in answer.headers["vary"].split(", ")
    assert 'role="img"' in answer.text
    again = client.request(op.method, example.path(op.path, op.base), headers={"content-type": "application/json", "accept": "*/*"}, **sent)
    assert again.headers["content-type"] == "application/json"


def test_the_guides_picture_is_kept_and_follows_the_language(client: httpx.Client) -> None:
    first = client.get(f"{GUIDE}?form=svg&medium=oil", headers={"accept-language": "fr"})
    assert (first.headers["content-language"], first.headers["cache-control"]) == ("fr", "public, max-age=60")
    assert "Sans cadre" in first.text
    again = client.get(f"{GUIDE}?form=svg&medium=oil", headers={"accept-language": "fr", "if-none-match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_a_refusal_is_a_problem_document_also_for_who_asked_for_a_picture(client: httpx.Client) -> None:
    answer = client.get(f"{GUIDE}?medium=fresco", headers={"accept": SVG})
    assert (answer.status_code, answer.headers["content-type"]) == (422, "application/problem+json")


def test_others_do_not_wait_for_a_picture() -> None:
    class Asked:
        form = "svg"

    assert edge._takes_long(b"{}", SVG, None)
    assert edge._takes_long(None, "text/html", Asked())
    assert not edge._takes_long(b"{}", "application/json", None)


def test_where_nothing_can_be_drawn_it_is_said_and_the_rest_goes_on(
    monkeypatch: pytest.MonkeyPatch, book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]]
) -> None:
    for module in (pictured, guide_forms):
        monkeypatch.setattr(module, "can_draw", lambda: False)
    with serve(create_app(book, lambda: date(2026, 5, 1))) as address, httpx.Client(base_url=address, trust_env=False) as client:
        for query, accept in (("", SVG), ("?form=svg", "*/*")):
            answer = client.get(f"{GUIDE}{query}", headers={"accept": accept})
            assert (answer.status_code, answer.json()["type"]) == (406, "/problems/not-acceptable")
            assert "evenhang[pictures]" in answer.json()["detail"]
        both = client.get(GUIDE, headers={"accept": f"{SVG}, text/csv;q=0.5"})
        assert both.headers["content-type"] == "text/csv; charset=utf-8"
        page = client.get(GUIDE, headers={"accept": "text/html"}).text
        assert "<img" not in page
        assert "form=svg" not in page
