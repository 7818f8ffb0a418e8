"""Planted breaking changes: each must be caught by the comparison with the released contract, and each harmless one let through."""

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from evenhang.api.contract import contract

Json = dict[str, Any]
CONFIG = ".ci/redocly-diff.yaml"


def part(doc: Json, name: str) -> Json:
    return doc["components"]["schemas"][name]


def field(doc: Json, name: str, key: str) -> Json:
    return part(doc, name)["properties"][key]


def quotes(doc: Json) -> Json:
    return doc["paths"]["/members/{member}/quotes"]["post"]


def batch(doc: Json) -> Json:
    return doc["paths"]["/quotes"]["post"]


def query(doc: Json, name: str, *, remove: bool = False) -> Json:
    parameters = doc["paths"]["/members/{member}/price"]["get"]["parameters"]
    found = next(parameter for parameter in parameters if parameter.get("name") == name)
    if remove:
        parameters.remove(found)
    return found


def optional(doc: Json, name: str, key: str) -> None:
    part(doc, name)["required"].remove(key)


def removed(doc: Json, name: str, key: str) -> None:
    optional(doc, name, key)
    del part(doc, name)["properties"][key]


def renamed(at: Json, old: str, new: str) -> None:
    at[new] = at.pop(old)


def nullable(doc: Json) -> None:
    part(doc, "PublicQuote")["properties"]["statement"] = {"anyOf": [{"type": "string"}, {"type": "null"}], "description": "A sentence."}


def secured(doc: Json) -> None:
    doc["paths"]["/members"]["get"]["security"] = [{"bearer": ["desk"]}]


# The change, how it is planted, and the rule that must name it.
BREAKING: dict[str, tuple[Callable[[Json], object], str]] = {
    "field of an answer removed": (lambda d: removed(d, "PublicQuote", "statement"), "property-removed"),
    "field of an answer made optional": (lambda d: optional(d, "PublicQuote", "price"), "required-properties-removed"),
    "field of an answer made nullable": (nullable, "schema-type-changed"),
    "field of an answer of another type": (lambda d: field(d, "CheckAnswer", "checked").update(type="string"), "schema-type-changed"),
    "list widened in an answer": (lambda d: field(d, "Share", "party")["enum"].append("carrier"), "enum-values-added"),
    "list in an answer opened": (lambda d: field(d, "Share", "party").pop("enum"), "enum-values-added"),
    "pattern of an answer loosened": (lambda d: field(d, "Money", "amount").update(pattern="^.*$"), "schema-constraint-changed"),
    "list of a request narrowed": (lambda d: field(d, "Work", "shape")["anyOf"][0]["enum"].remove("oval"), "enum-values-removed"),
    "field of a request removed": (lambda d: part(d, "QuoteRequest")["properties"].pop("view"), "property-removed"),
    "field of a request demanded": (lambda d: part(d, "QuoteRequest")["required"].append("as_of"), "required-properties-added"),
    "longest list lowered": (lambda d: field(d, "CheckRequest", "works").update(maxItems=100), "schema-constraint-changed"),
    "longest text lowered": (lambda d: field(d, "CatalogueWork", "id").update(maxLength=10), "schema-constraint-changed"),
    "pattern of a request narrowed": (
        lambda d: field(d, "GivenMoney", "amount").update(pattern="^[0-9]{1,9}$"),
        "schema-constraint-changed",
    ),
    "pattern of the path narrowed": (
        lambda d: d["components"]["parameters"]["Member"]["schema"].update(maxLength=9),
        "schema-constraint-changed",
    ),
    "status of success moved": (lambda d: renamed(quotes(d)["responses"], "200", "201"), "response-removed"),
    "status of a refusal dropped": (lambda d: quotes(d)["responses"].pop("409"), "response-removed"),
    "media type of the answer": (
        lambda d: renamed(quotes(d)["responses"]["200"]["content"], "application/json", "text/json"),
        "media-type-removed",
    ),
    "media type of the request": (
        lambda d: renamed(quotes(d)["requestBody"]["content"], "application/json", "text/json"),
        "media-type-removed",
    ),
    "media type of a problem": (
        lambda d: renamed(d["components"]["responses"]["Problem422"]["content"], "application/problem+json", "application/json"),
        "media-type-removed",
    ),
    "header dropped": (lambda d: d["components"]["responses"]["Problem405"].pop("headers"), "response-header-removed"),
    "operationId": (lambda d: quotes(d).update(operationId="priceWork"), "operation-id-changed"),
    "security demanded": (secured, "security-requirement-changed"),
    "security of another scope": (lambda d: quotes(d).update(security=[{"bearer": ["books"]}]), "security-requirement-changed"),
    "field of a request not nullable any more": (
        lambda d: part(d, "QuoteRequest")["properties"].update(as_of={"type": "string", "format": "date", "maxLength": 10}),
        "schema-type-changed",
    ),
    "largest number lowered": (lambda d: field(d, "ChosenExtra", "quantity")["anyOf"][0].update(maximum=10), "schema-constraint-changed"),
    "smallest number raised": (lambda d: field(d, "ChosenExtra", "quantity")["anyOf"][0].update(minimum=2), "schema-constraint-changed"),
    "lines no longer read": (lambda d: batch(d)["requestBody"]["content"].pop("application/x-ndjson"), "media-type-removed"),
    "lines no longer answered": (
        lambda d: batch(d)["responses"]["200"]["content"].pop("application/x-ndjson"),
        "media-type-removed",
    ),
    "parameter of the query removed": (lambda d: query(d, "as_of", remove=True), "parameter-removed"),
    "parameter of the query demanded": (lambda d: query(d, "as_of").update(required=True), "parameter-became-required"),
    "path moved": (lambda d: renamed(d["paths"], "/members/{member}/quotes", "/members/{member}/prices"), "path-removed"),
    "operation removed": (lambda d: d["paths"].pop("/members"), "path-removed"),
    "server moved": (lambda d: d["servers"][0].update(url="/v2"), "server-removed"),
}

HARMLESS: dict[str, Callable[[Json], object]] = {
    "field added to an answer": lambda d: part(d, "PublicQuote")["properties"].update(seal={"type": "string"}),
    "optional field added to a request": lambda d: part(d, "QuoteRequest")["properties"].update(remark={"type": "string", "maxLength": 9}),
    "code added to the open list": lambda d: field(d, "Finding", "code")["examples"].append("new-code"),
    "limit raised": lambda d: field(d, "CheckRequest", "works").update(maxItems=20_000),
    "operation added": lambda d: d["paths"].update({"/more": {"get": {"operationId": "more", "responses": {"200": {"description": "."}}}}}),
    "words changed": lambda d: d["info"].update(description="Other words."),
}


def compared(node_tool: Any, folder: Path, plant: Callable[[Json], object]) -> tuple[int, str]:
    """The exit status and the report of the comparison of the contract with its planted copy."""
    released = contract()
    planted = copy.deepcopy(released)
    plant(planted)
    assert planted != released, "nothing was planted"
    for name, doc in (("released", released), ("planted", planted)):
        (folder / f"{name}.json").write_text(json.dumps(doc))
    run = node_tool("redocly", "diff", f"{folder}/released.json", f"{folder}/planted.json", "--config", CONFIG, "--fail-on", "major")
    return run.returncode, run.stdout


@pytest.mark.parametrize("name", BREAKING)
def test_breaking_change_is_caught(node_tool: Any, tmp_path: Path, name: str) -> None:
    plant, rule = BREAKING[name]
    status, report = compared(node_tool, tmp_path, plant)
    assert status == 1, report
    majors = report.split("✖ major", 1)[1]
    assert f"({rule})" in majors, report


@pytest.mark.parametrize("name", HARMLESS)
def test_harmless_change_is_let_through(node_tool: Any, tmp_path: Path, name: str) -> None:
    status, report = compared(node_tool, tmp_path, HARMLESS[name])
    assert status == 0, report
