"""Planted breaking changes: each must be caught by the comparison with the released contract, and each harmless one let through.

All are planted at once, each at a place of its own: a run of the tool takes seconds. What it names must be these faults and no other.
"""

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from evenhang.api.contract import contract

Json = dict[str, Any]
CONFIG = ".ci/redocly-diff.yaml"
SCHEMAS = "#/components/schemas"
MEMBERS = "#/paths/~1members~1{member}~1"


def part(doc: Json, name: str) -> Json:
    return doc["components"]["schemas"][name]


def field(doc: Json, name: str, key: str) -> Json:
    return part(doc, name)["properties"][key]


def at(doc: Json, noun: str, method: str = "post") -> Json:
    """The operation that is asked under `noun`, of a member."""
    return doc["paths"][f"/members/{{member}}/{noun}"][method]


def batch(doc: Json) -> Json:
    return doc["paths"]["/quotes"]["post"]


def query(doc: Json, name: str) -> Json:
    return next(parameter for parameter in at(doc, "price", "get")["parameters"] if parameter.get("name") == name)


def optional(doc: Json, name: str, key: str) -> None:
    part(doc, name)["required"].remove(key)


def removed(doc: Json, name: str, key: str) -> None:
    optional(doc, name, key)
    del part(doc, name)["properties"][key]


def renamed(at: Json, old: str, new: str) -> None:
    at[new] = at.pop(old)


def nullable(doc: Json) -> None:
    part(doc, "PublicQuote")["properties"]["caution"] = {"anyOf": [{"type": "string"}, {"type": "null"}], "description": "A sentence."}


def never_null(doc: Json) -> None:
    part(doc, "SettlementRequest")["properties"]["as_of"] = {"type": "string", "format": "date", "maxLength": 10}


# The change, how it is planted, and what must be named for it: the rule, and the place.
BREAKING: dict[str, tuple[Callable[[Json], object], set[tuple[str, str]]]] = {
    "field of an answer removed": (
        lambda d: removed(d, "PublicQuote", "statement"),
        {
            ("property-removed", f"{SCHEMAS}/PublicQuote/properties/statement"),
            ("required-properties-removed", f"{SCHEMAS}/PublicQuote/required"),
        },
    ),
    "field of an answer made optional": (
        lambda d: optional(d, "Share", "amount"),
        {("required-properties-removed", f"{SCHEMAS}/Share/required")},
    ),
    "field of an answer made nullable": (nullable, {("schema-type-changed", f"{SCHEMAS}/PublicQuote/properties/caution")}),
    "field of an answer of another type": (
        lambda d: field(d, "CheckAnswer", "checked").update(type="string"),
        {("schema-type-changed", f"{SCHEMAS}/CheckAnswer/properties/checked/type")},
    ),
    "list widened in an answer": (
        lambda d: field(d, "Share", "party")["enum"].append("carrier"),
        {("enum-values-added", f"{SCHEMAS}/Share/properties/party/enum")},
    ),
    "list in an answer opened": (
        lambda d: field(d, "MendedList", "kind").pop("enum"),
        {("enum-values-added", f"{SCHEMAS}/MendedList/properties/kind")},
    ),
    "pattern of an answer loosened": (
        lambda d: field(d, "Money", "amount").update(pattern="^.*$"),
        {("schema-constraint-changed", f"{SCHEMAS}/Money/properties/amount/pattern")},
    ),
    "list of a request narrowed": (
        lambda d: field(d, "Work", "shape")["anyOf"][0]["enum"].remove("oval"),
        {("enum-values-removed", f"{SCHEMAS}/Work/properties/shape/anyOf/0/enum")},
    ),
    "field of a request removed": (
        lambda d: part(d, "QuoteRequest")["properties"].pop("view"),
        {("property-removed", f"{SCHEMAS}/QuoteRequest/properties/view")},
    ),
    "field of a request demanded": (
        lambda d: part(d, "QuoteRequest")["required"].append("as_of"),
        {("required-properties-added", f"{SCHEMAS}/QuoteRequest/required")},
    ),
    "field of a request not nullable any more": (
        never_null,
        {
            ("schema-type-changed", f"{SCHEMAS}/SettlementRequest/properties/as_of/type"),
            ("schema-constraint-changed", f"{SCHEMAS}/SettlementRequest/properties/as_of/maxLength"),
            ("schema-constraint-changed", f"{SCHEMAS}/SettlementRequest/properties/as_of/format"),
        },
    ),
    "longest list lowered": (
        lambda d: field(d, "CheckRequest", "works").update(maxItems=100),
        {("schema-constraint-changed", f"{SCHEMAS}/CheckRequest/properties/works/maxItems")},
    ),
    "longest text lowered": (
        lambda d: field(d, "CatalogueWork", "id").update(maxLength=10),
        {("schema-constraint-changed", f"{SCHEMAS}/CatalogueWork/properties/id/maxLength")},
    ),
    "largest number lowered": (
        lambda d: field(d, "ChosenExtra", "quantity")["anyOf"][0].update(maximum=10),
        {("schema-constraint-changed", f"{SCHEMAS}/ChosenExtra/properties/quantity/anyOf/0/maximum")},
    ),
    "smallest number raised": (
        lambda d: field(d, "ChosenExtra", "quantity")["anyOf"][0].update(minimum=2),
        {("schema-constraint-changed", f"{SCHEMAS}/ChosenExtra/properties/quantity/anyOf/0/minimum")},
    ),
    "pattern of a request narrowed": (
        lambda d: field(d, "GivenMoney", "amount").update(pattern="^[0-9]{1,9}$"),
        {("schema-constraint-changed", f"{SCHEMAS}/GivenMoney/properties/amount/pattern")},
    ),
    "pattern of the path narrowed": (
        lambda d: d["components"]["parameters"]["Member"]["schema"].update(maxLength=9),
        {("schema-constraint-changed", "#/components/parameters/Member/schema/maxLength")},
    ),
    "parameter of the query removed": (
        lambda d: at(d, "guide", "get")["parameters"].pop(1),
        {("parameter-removed", f"{MEMBERS}guide/get/parameters/1")},
    ),
    "parameter of the query demanded": (
        lambda d: query(d, "as_of").update(required=True),
        {("parameter-became-required", f"{MEMBERS}price/get/parameters/13/required")},
    ),
    "status of success moved": (
        lambda d: renamed(at(d, "settlements")["responses"], "200", "201"),
        {("response-removed", f"{MEMBERS}settlements/post/responses/201")},
    ),
    "status of a refusal dropped": (
        lambda d: at(d, "quotes")["responses"].pop("409"),
        {("response-removed", f"{MEMBERS}quotes/post/responses/409")},
    ),
    "media type of the answer": (
        lambda d: renamed(at(d, "targets")["responses"]["200"]["content"], "application/json", "text/json"),
        {("media-type-removed", f"{MEMBERS}targets/post/responses/200/content/application~1json")},
    ),
    "media type of the request": (
        lambda d: renamed(at(d, "editions")["requestBody"]["content"], "application/json", "text/json"),
        {("media-type-removed", f"{MEMBERS}editions/post/requestBody/content/application~1json")},
    ),
    "media type of a problem": (
        lambda d: renamed(d["components"]["responses"]["Problem422"]["content"], "application/problem+json", "application/json"),
        {("media-type-removed", "#/components/responses/Problem422/content/application~1json")},
    ),
    "lines no longer read": (
        lambda d: batch(d)["requestBody"]["content"].pop("application/x-ndjson"),
        {("media-type-removed", "#/paths/~1quotes/post/requestBody/content/application~1x-ndjson")},
    ),
    "lines no longer answered": (
        lambda d: batch(d)["responses"]["200"]["content"].pop("application/x-ndjson"),
        {("media-type-removed", "#/paths/~1quotes/post/responses/200/content/application~1x-ndjson")},
    ),
    "header dropped": (
        lambda d: d["components"]["responses"]["Problem405"].pop("headers"),
        {("response-header-removed", "#/components/responses/Problem405/headers")},
    ),
    "operationId": (
        lambda d: at(d, "yields").update(operationId="sumAll"),
        {("operation-id-changed", f"{MEMBERS}yields/post/operationId")},
    ),
    "security demanded": (
        lambda d: d["paths"]["/members"]["get"].update(security=[{"bearer": ["desk"]}]),
        {("security-requirement-changed", "#/paths/~1members/get/security/0")},
    ),
    "security of another scope": (
        lambda d: at(d, "ladders").update(security=[{"bearer": ["books"]}]),
        {("security-requirement-changed", f"{MEMBERS}ladders/post/security/0/bearer")},
    ),
    "path moved": (
        lambda d: renamed(d["paths"], "/members/{member}/sets", "/members/{member}/groups"),
        {("path-removed", f"{MEMBERS}groups")},
    ),
    "operation removed": (lambda d: d["paths"].pop("/formats"), {("path-removed", "#/paths/~1formats")}),
    "server moved": (lambda d: d["servers"][0].update(url="/v2"), {("server-removed", "#/servers/0/url")}),
}

HARMLESS: dict[str, Callable[[Json], object]] = {
    "field added to an answer": lambda d: part(d, "PublicQuote")["properties"].update(seal={"type": "string"}),
    "optional field added to a request": lambda d: part(d, "QuoteRequest")["properties"].update(remark={"type": "string", "maxLength": 9}),
    "code added to the open list": lambda d: field(d, "Finding", "code")["examples"].append("new-code"),
    "limit raised": lambda d: field(d, "CheckRequest", "works").update(maxItems=20_000),
    "operation added": lambda d: d["paths"].update({"/more": {"get": {"operationId": "more", "responses": {"200": {"description": "."}}}}}),
    "words changed": lambda d: d["info"].update(description="Other words."),
}


def compared(node_tool: Any, folder: Path, plants: list[Callable[[Json], object]]) -> tuple[int, Json]:
    """The exit status and the report of the comparison of the contract with its planted copy."""
    released = contract()
    planted = copy.deepcopy(released)
    for plant in plants:
        before = copy.deepcopy(planted)
        plant(planted)
        assert planted != before, "nothing was planted"
    for name, doc in (("released", released), ("planted", planted)):
        (folder / f"{name}.json").write_text(json.dumps(doc))
    how = ("--config", CONFIG, "--fail-on", "major", "--format", "json")
    run = node_tool("redocly", "diff", f"{folder}/released.json", f"{folder}/planted.json", *how)
    return run.returncode, json.loads(run.stdout)


def verdicts(report: Json, impact: str) -> set[tuple[str, str]]:
    found = (verdict for change in report["changes"] for verdict in change["verdicts"] if verdict["impact"] == impact)
    return {(verdict["ruleId"], verdict["location"]["pointer"]) for verdict in found}


def test_every_breaking_change_is_caught(node_tool: Any, tmp_path: Path) -> None:
    status, report = compared(node_tool, tmp_path, [plant for plant, _ in BREAKING.values()])
    assert status == 1
    named = verdicts(report, "major")
    assert {change for change, (_, due) in BREAKING.items() if not due <= named} == set()
    assert named == set().union(*(due for _, due in BREAKING.values()))


def test_every_harmless_change_is_let_through(node_tool: Any, tmp_path: Path) -> None:
    status, report = compared(node_tool, tmp_path, list(HARMLESS.values()))
    assert status == 0
    assert verdicts(report, "major") == set()
    assert len(report["changes"]) >= len(HARMLESS) - 2  # it has nothing to say of words and of examples
