"""Every example, sent to the running service, comes back byte for byte, and every operation has its examples."""

import httpx
import msgspec
import pytest

from evenhang.api.contract import contract
from evenhang.api.examples import Example, lines_from, load_examples
from evenhang.api.operations import OPERATIONS
from evenhang.api.replies import JSON, NDJSON
from evenhang.pictures.canvas import SVG

ROWS = {op.id: op for op in OPERATIONS}
EXAMPLES = load_examples()


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: f"{e.operation}/{e.name}")
def test_example_comes_back_byte_for_byte(client: httpx.Client, example: Example) -> None:
    """The file is the answer with line breaks: only white space differs, never a digit, a key or their order."""
    op = ROWS[example.operation]
    sent = {"params": example.body()} if op.method == "GET" else {"content": example.request}
    answer = client.request(
        op.method, example.path(op.path, op.base), headers={"content-type": "application/json", **example.headers}, **sent
    )
    assert answer.status_code == example.status
    assert msgspec.json.format(answer.content, indent=2) + b"\n" == example.answer
    assert msgspec.json.format(example.answer, indent=-1) == answer.content


@pytest.mark.parametrize("example", [e for e in EXAMPLES if len(ROWS[e.operation].media) > 1], ids=lambda e: f"{e.operation}/{e.name}")
def test_example_comes_back_byte_for_byte_in_every_kind_of_answer(client: httpx.Client, example: Example) -> None:
    """And as lines where the body may come so: the contract shows those lines."""
    op = ROWS[example.operation]
    assert set(example.others) == (set(op.media) - {JSON, SVG} if example.status == 200 else set())
    kinds = {"application/json": example.request} | ({NDJSON: lines_from(example.body())} if NDJSON in op.takes else {})
    for media, expected in example.others.items():
        for kind, body in kinds.items():
            sent = {"params": example.body()} if op.method == "GET" else {"content": body}
            answer = client.request(op.method, example.path(op.path, op.base), headers={"content-type": kind, "accept": media}, **sent)
            assert answer.content == expected
            assert answer.headers["content-type"].partition(";")[0] == media


def test_the_same_bytes_on_any_day(client: httpx.Client) -> None:
    """Examples carry their day, so that the clock changes nothing; the list of members, and what has no day, are asked without one."""
    assert {e.operation for e in EXAMPLES if "as_of" not in e.body()} <= {
        "listMembers",
        "readRuleSet",
        "checkRules",
        "listFormats",
        "readOfferKeys",
    }


def test_every_operation_has_an_answer_and_every_computation_a_refusal() -> None:
    answered = {e.operation for e in EXAMPLES if e.status == 200}
    refused = {e.operation for e in EXAMPLES if e.status >= 400}
    assert answered == set(ROWS)
    assert refused >= {op.id for op in OPERATIONS if op.request is not None}


def test_every_example_is_in_the_document() -> None:
    doc = contract()
    for example in EXAMPLES:
        op = ROWS[example.operation]
        entry = doc["paths"][op.path][op.method.lower()]
        shown = entry["responses"]["200"]["content"]["application/json"]["examples"]
        key = example.name
        if example.status != 200:
            shown = doc["components"]["responses"][f"Problem{example.status}"]["content"]["application/problem+json"]["examples"]
            key = f"{example.operation}-{example.name}"
        assert shown[key]["value"] == msgspec.json.decode(example.answer)


@pytest.mark.parametrize(
    ("example", "media"), [(e, media) for e in EXAMPLES for media in e.others], ids=lambda value: getattr(value, "stem", value)
)
def test_an_example_of_another_kind_comes_back_byte_for_byte(client: httpx.Client, example: Example, media: str) -> None:
    op = ROWS[example.operation]
    sent = {"params": example.body()} if op.method == "GET" else {"content": example.request}
    answer = client.request(
        op.method, example.path(op.path, op.base), headers={"content-type": "application/json", "accept": media}, **sent
    )
    assert answer.headers["content-type"].partition(";")[0] == media
    assert answer.content == example.others[media]
