"""An operation that is about to go: its answers say so, in the forms of RFC 9745 and RFC 8594, and so does the contract."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import date

import httpx
import msgspec
import pytest
from litestar import Litestar

from evenhang import app
from evenhang.api import contract as module
from evenhang.api.ageing import ageing
from evenhang.api.members import MEMBERS
from evenhang.api.operations import OPERATIONS
from evenhang.app import create_app
from evenhang.rulebook.book import RuleBook

# RFC 9745, section 2.1, prints @1688169599 for 30 June 2023 23:59:59 UTC: the day after begins one second later.
SINCE = date(2023, 7, 1)
# RFC 8594, section 3, prints "Sat, 31 Dec 2018 23:59:59 GMT", which was a Monday; this one is computed.
UNTIL = date(2024, 12, 31)
OLD = msgspec.structs.replace(MEMBERS, id="listMakers", path="/makers", deprecated_on=SINCE, sunset_on=UNTIL)


def test_the_fields_have_the_forms_of_their_standards() -> None:
    assert ageing(SINCE, UNTIL) == ((b"deprecation", b"@1688169600"), (b"sunset", b"Tue, 31 Dec 2024 00:00:00 GMT"))
    assert ageing(SINCE, None) == ((b"deprecation", b"@1688169600"),)
    assert ageing(None, None) == ()


@pytest.mark.parametrize(("since", "until"), [(None, UNTIL), (UNTIL, SINCE)])
def test_days_that_contradict_one_another_stop_the_start(
    book: RuleBook, monkeypatch: pytest.MonkeyPatch, since: date | None, until: date
) -> None:
    row = msgspec.structs.replace(OLD, deprecated_on=since, sunset_on=until)
    monkeypatch.setattr(app, "OPERATIONS", (*OPERATIONS, row))
    with pytest.raises(ValueError, match="deprecat"):
        create_app(book)


def test_every_answer_of_the_operation_says_so_and_no_other_does(
    book: RuleBook, monkeypatch: pytest.MonkeyPatch, serve: Callable[[Litestar], AbstractContextManager[str]]
) -> None:
    monkeypatch.setattr(app, "OPERATIONS", (*OPERATIONS, OLD))
    with serve(create_app(book, lambda: date(2026, 5, 1))) as address, httpx.Client(base_url=address, trust_env=False) as client:
        old = [client.get("/v1/makers"), client.head("/v1/makers"), client.get("/v1/makers?a=b")]
        new = client.get("/v1/members")
    assert [answer.status_code for answer in old] == [200, 200, 400]
    said = {(answer.headers["deprecation"], answer.headers["sunset"]) for answer in old}
    assert said == {("@1688169600", "Tue, 31 Dec 2024 00:00:00 GMT")}
    assert old[0].content == new.content, "it answers as before"
    assert not {"deprecation", "sunset"} & set(new.headers)


def test_the_contract_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "OPERATIONS", (*OPERATIONS, OLD))
    doc = module.contract()
    entry = doc["paths"]["/makers"]["get"]
    assert entry["deprecated"] is True
    assert set(entry["responses"]["200"]["headers"]) >= {"Deprecation", "Sunset"}
    assert "deprecated" not in doc["paths"]["/members"]["get"]
