"""The problems that no operation's example meets: each request as raw bytes to a server set up to decline it, each answer byte for byte."""

import importlib.util
import json
import socket
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from types import ModuleType

import msgspec
import pytest
from litestar import Litestar

from evenhang.api.contract import contract
from evenhang.api.examples import FOLDER, load_examples
from evenhang.api.problem_pages import problem_types
from evenhang.api.problems import PROBLEMS
from evenhang.api.provoked import PROVOKED, Provoked
from evenhang.rulebook.book import RuleBook

SCRIPT = Path(__file__).parents[2] / "openapi" / "refresh_answers.py"


@pytest.fixture(scope="module")
def refresh() -> ModuleType:
    """openapi/refresh_answers.py, which is a script and in no package: it sets the houses up."""
    spec = importlib.util.spec_from_file_location("refresh_answers", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def send(address: str, asked: Provoked) -> tuple[int, dict[str, str], bytes]:
    """Status, header fields and body of the answer to these bytes."""
    host, port = address.removeprefix("http://").split(":")
    length = {} if not asked.body or "Content-Length" in asked.headers else {"Content-Length": str(len(asked.body))}
    fields = {"Host": "localhost", **length, **asked.headers}
    head = [f"{asked.method} {asked.target} HTTP/1.1", *(f"{name}: {value}" for name, value in fields.items()), "", ""]
    with socket.create_connection((host, int(port)), timeout=10) as wire:
        wire.sendall("\r\n".join(head).encode() + asked.body.encode())
        came = wire.makefile("rb")
        status = int(came.readline().split()[1])
        lines = iter(lambda: came.readline().decode("latin-1").strip(), "")
        headers = {name.lower(): value for name, value in (line.split(": ", 1) for line in lines)}
        return status, headers, came.read(int(headers["content-length"]))


@pytest.mark.parametrize("asked", PROVOKED, ids=lambda asked: asked.name)
def test_the_problem_comes_byte_for_byte(
    asked: Provoked, refresh: ModuleType, book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]]
) -> None:
    with serve(refresh.house(asked.house, book)) as address:
        *before, (status, headers, body) = [send(address, asked) for _ in range(asked.times)]
    assert [first for first, _, _ in before] == [200] * (asked.times - 1)
    assert (status, headers["content-type"]) == (asked.status, "application/problem+json")
    assert msgspec.json.format(asked.answer, indent=-1) == body
    assert {name: headers.get(name.lower()) for name in asked.answered} == asked.answered
    problem = json.loads(body)
    assert (problem["type"], problem["status"]) == (f"/problems/{asked.kind}", status)
    if asked.kind == "not-ready":  # only /health/ready sends it, which is outside the contract
        return
    response = contract()["components"]["responses"][f"Problem{status}"]
    assert set(asked.answered) <= set(response["headers"])
    shown = response["content"]["application/problem+json"]["examples"][asked.name]
    assert shown["value"] == problem
    assert asked.shown in shown["description"]


def test_every_type_of_problem_is_met_by_a_request_that_is_sent() -> None:
    met = {json.loads(e.answer)["type"] for e in load_examples() if e.status != 200} | {f"/problems/{p.kind}" for p in PROVOKED}
    assert met == {f"/problems/{name}" for name in PROBLEMS}


def test_the_contract_shows_no_problem_that_nothing_sent() -> None:
    """Every example of a problem is a file that a test sends; nothing is put together for show."""
    sent = [json.loads(e.answer) for e in load_examples()] + [json.loads(p.answer) for p in PROVOKED]
    for name, response in contract()["components"]["responses"].items():
        shown = response["content"]["application/problem+json"]["examples"]
        assert shown, name
        assert [key for key, example in shown.items() if example["value"] not in sent] == []


def test_every_written_answer_is_one_of_the_table() -> None:
    files = {file.name.removesuffix(".answer.json") for file in (FOLDER / "problems").iterdir()}
    assert files == {asked.name for asked in PROVOKED}


def test_pages_show_what_provoked_the_problem() -> None:
    for kind in {asked.kind for asked in PROVOKED}:
        first = next(asked for asked in PROVOKED if asked.kind == kind)
        example = problem_types()[kind].example
        assert example
        assert (example.text, example.answer, example.answer_headers) == (first.shown, json.loads(first.answer), first.answered)
