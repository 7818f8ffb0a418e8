"""The links of the contract, walked: from every example's answer to the operation that takes it up."""

import json
import re
from typing import Any

import httpx
import pytest

from evenhang.api.contract import contract
from evenhang.api.examples import Example, load_examples
from evenhang.api.links import LINKS, Link
from evenhang.api.operations import OPERATIONS

ROWS = {op.id: op for op in OPERATIONS}
# A what-if has a digest of its own that nobody holds, and its figures are no offer.
EXAMPLES = [e for e in load_examples() if e.status == 200 and "try" not in e.body()]
WALKS = [(link, e) for link in LINKS for e in EXAMPLES if e.operation == link.source]


def resolved(part: Any, request: Any, answer: Any, path: dict[str, str]) -> Any:
    """The value of a runtime expression, or of all inside a body."""
    if isinstance(part, dict):
        return {key: resolved(value, request, answer, path) for key, value in part.items()}
    if name := re.fullmatch(r"\$request\.path\.(\w+)", part):
        return path[name[1]]
    where, _, pointer = part.partition("#")
    value = {"$request.body": request, "$response.body": answer}[where]
    for step in pointer.split("/")[1:]:
        value = value[int(step)] if isinstance(value, list) else value[step]
    return value


@pytest.mark.parametrize(("link", "example"), WALKS, ids=lambda x: f"{x.source}-{x.target}" if isinstance(x, Link) else x.name)
def test_a_link_leads_to_an_answer(client: httpx.Client, link: Link, example: Example) -> None:
    target, answer = ROWS[link.target], json.loads(example.answer)
    place = {"member": example.member}
    parameters = resolved(link.parameters, example.body(), answer, place)
    url = "/v1" + re.sub(r"\{(\w+)\}", lambda name: parameters.pop(name[1]), target.path)
    if target.method == "GET":
        got = client.get(url, params=parameters)
    else:
        assert not parameters
        got = client.post(url, json=resolved(link.body, example.body(), answer, place))
    assert got.status_code == 200, got.text
    if link.target == "verifyOffer":
        assert (got.json()["genuine"], got.json()["standing"]) == (True, True)
    if link.target == "readRuleSet":
        assert got.json()["rules"] == answer["rules"]


def test_every_link_is_in_the_document_and_walked() -> None:
    doc = contract()
    entries = {entry["operationId"]: entry for path in doc["paths"].values() for entry in path.values() if isinstance(entry, dict)}
    for link in LINKS:
        shown = entries[link.source]["responses"]["200"]["links"][link.target]
        assert shown["operationId"] in entries
        needed = set(re.findall(r"\{(\w+)\}", ROWS[link.target].path))
        assert needed <= set(link.parameters)
    assert {(link.source, link.target) for link, _ in WALKS} == {(link.source, link.target) for link in LINKS}
    of_members = entries["listMembers"]["responses"]["200"]["links"]
    assert set(of_members) == {op.id for op in OPERATIONS if "{" in op.path}
