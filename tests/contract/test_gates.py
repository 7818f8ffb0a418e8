"""The lints of the contract, seen to fail: each rule that is configured names the fault that was planted for it."""

import copy
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from evenhang.api.contract import contract

Doc = dict[str, Any]
CI = Path(__file__).parents[2] / ".ci"


def at(doc: Doc, noun: str) -> Doc:
    """The operation that is asked under `noun`, of a member."""
    (entry,) = doc["paths"][f"/members/{{member}}/{noun}"].values()
    return entry  # type: ignore[no-any-return]  # the document is plain JSON


def schema(doc: Doc, name: str) -> Doc:
    return doc["components"]["schemas"][name]  # type: ignore[no-any-return]  # as above


def field(doc: Doc, name: str, prop: str) -> Doc:
    return schema(doc, name)["properties"][prop]  # type: ignore[no-any-return]  # as above


def another(doc: Doc, path: str) -> None:
    """One more operation, at this path."""
    doc["paths"][path] = {"get": copy.deepcopy(doc["paths"]["/formats"]["get"]) | {"operationId": "listOther"}}


TEXT = {"description": "Text.", "content": {"text/plain": {"examples": {"a": {"value": "a"}}}}}
CENTS = {"type": "integer", "description": "Cents."}
CLEAN = {"type": "boolean", "description": "Clean."}

# openapi/openapi.json as it stands is linted by .ci/run; here a copy with one fault for each rule, all at once.
SPECTRAL: dict[str, Callable[[Doc], object]] = {
    "request-strings-are-limited": lambda d: field(d, "CatalogueWork", "id").pop("maxLength"),
    "request-lists-are-limited": lambda d: field(d, "CheckRequest", "works").pop("maxItems"),
    "request-integers-are-limited": lambda d: field(d, "ChosenExtra", "quantity")["anyOf"][0].pop("maximum"),
    "request-objects-are-closed": lambda d: schema(d, "WorkCost").pop("additionalProperties"),
    "answer-codes-are-open": lambda d: field(d, "Finding", "code").update(enum=["larger-for-less"]),
    "fields-say-what-they-mean": lambda d: field(d, "Line", "label").pop("description"),
    "schemas-say-what-they-are": lambda d: schema(d, "Share").pop("description"),
    "money-is-string": lambda d: schema(d, "Money")["properties"].update(amount=CENTS),
    "no-number-type": lambda d: field(d, "CheckAnswer", "checked").update(type="number"),
    "snake-case-properties": lambda d: schema(d, "CheckAnswer")["properties"].update(allClean=CLEAN),
    "errors-are-problem-json": lambda d: at(d, "quotes")["responses"].update({"422": TEXT}),
    "every-media-type-has-examples": lambda d: at(d, "quotes")["responses"]["200"]["content"]["application/json"].pop("examples"),
    "post-declares-idempotence": lambda d: at(d, "quotes").update(description="A price."),
    "counted-answers-tell-the-rate": lambda d: at(d, "price")["responses"]["304"]["headers"].pop("RateLimit"),
    "counted-operations-declare-429": lambda d: at(d, "price")["responses"].pop("429"),
    "owasp:api8:2023-define-error-responses-401": lambda d: at(d, "price")["responses"].pop("401"),
}
REDOCLY: dict[str, Callable[[Doc], object]] = {
    "operation-operationId": lambda d: at(d, "settlements").pop("operationId"),
    "operation-operationId-unique": lambda d: at(d, "targets").update(operationId="sumYields"),
    "operation-operationId-url-safe": lambda d: at(d, "sets").update(operationId="price set"),
    "operation-summary": lambda d: at(d, "settlements").pop("summary"),
    "operation-description": lambda d: at(d, "checks").pop("description"),
    "operation-tag-defined": lambda d: at(d, "quotes").update(tags=["Elsewhere"]),
    "operation-4xx-response": lambda d: at(d, "rates").update(responses={"200": at(d, "rates")["responses"]["200"]}),
    "operation-4xx-problem-details-rfc7807": lambda d: at(d, "quotes")["responses"].update({"422": TEXT}),
    "tag-description": lambda d: d["tags"][0].pop("description"),
    "tags-alphabetical": lambda d: d["tags"].reverse(),
    "no-invalid-media-type-examples": lambda d: field(d, "CheckAnswer", "checked").update(type="boolean"),
    "no-invalid-schema-examples": lambda d: field(d, "Finding", "code").update(example=7),
    "no-invalid-parameter-examples": lambda d: d["components"]["parameters"]["Member"].update(example="NOBODY"),
    "no-unused-components": lambda d: d["components"]["schemas"].update(Forgotten={"type": "object", "description": "Used nowhere."}),
    "no-ambiguous-paths": lambda d: another(d, "/members/everybody/quotes"),
    "no-identical-paths": lambda d: another(d, "/members/{other}/quotes"),
    "no-http-verbs-in-paths": lambda d: another(d, "/get-formats"),
    "paths-kebab-case": lambda d: another(d, "/other_formats"),
    "security-defined": lambda d: at(d, "quotes").update(security=[{"keys": []}]),
    "response-contains-header": lambda d: d["components"]["responses"]["Problem405"].pop("headers"),
    "rule/media-examples": lambda d: at(d, "quotes")["responses"]["200"]["content"]["application/json"].pop("examples"),
    "rule/operationid-camel": lambda d: at(d, "quotes").update(operationId="quote-work"),
}


def faulty(faults: dict[str, Callable[[Doc], object]], folder: Path) -> str:
    """The contract with all these faults, as a file."""
    doc = copy.deepcopy(contract())
    for plant in faults.values():
        plant(doc)
    (folder / "faulty.json").write_text(json.dumps(doc))
    return f"{folder}/faulty.json"


def test_spectral_names_every_fault(node_tool: Any, tmp_path: Path) -> None:
    run = node_tool("spectral", "lint", faulty(SPECTRAL, tmp_path), "--ruleset", ".ci/spectral.yaml", "--format", "text")
    assert run.returncode == 1, run.stderr
    assert {rule for rule in SPECTRAL if f" error {rule} " not in run.stdout} == set()


def test_redocly_names_every_fault(node_tool: Any, tmp_path: Path) -> None:
    # One fault in a schema shows in every example: without a limit of its own the linter stops counting before it has named all.
    limits = ("--format", "json", "--max-problems", "10000")
    run = node_tool("redocly", "lint", faulty(REDOCLY, tmp_path), "--config", ".ci/redocly.yaml", *limits)
    assert run.returncode == 1, run.stderr
    named = {problem["ruleId"] for problem in json.loads(run.stdout)["problems"] if problem["severity"] == "error"}
    assert set(REDOCLY) - named == set()


@pytest.mark.parametrize(("file", "faults"), [("spectral.yaml", SPECTRAL), ("redocly.yaml", REDOCLY)], ids=["spectral", "redocly"])
def test_every_configured_rule_has_its_fault(file: str, faults: dict[str, object]) -> None:
    """A rule that is added, or switched on, gets a fault as well."""
    rules = re.findall(r"^  (\S+?):(?: (.*))?$", CI.joinpath(file).read_text().split("\nrules:\n")[1], re.M)
    assert {name for name, value in rules if not value.startswith("off ")} == set(faults)
