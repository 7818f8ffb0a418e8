"""The lints of the contract, seen to fail: each rule of the house names the fault that was planted for it."""

import copy
import json
from pathlib import Path
from typing import Any

from evenhang.api.contract import contract

# openapi/openapi.json as it stands is linted by .ci/run; here a copy with one fault for each rule.
HOUSE_RULES = {
    "request-strings-are-limited", "request-lists-are-limited", "request-integers-are-limited", "request-objects-are-closed",
    "answer-codes-are-open", "fields-say-what-they-mean", "schemas-say-what-they-are", "money-is-string", "no-number-type",
    "snake-case-properties", "errors-are-problem-json", "every-media-type-has-examples", "secured-ops-declare-401",
    "post-declares-idempotence",
}  # fmt: skip
REDOCLY_RULES = {
    "operation-operationId", "operation-tag-defined", "tag-description", "operation-summary", "operation-description",
    "no-invalid-media-type-examples", "no-unused-components", "security-defined", "response-contains-header", "rule/media-examples",
    "rule/operationid-camel",
}  # fmt: skip


def faulty() -> dict[str, Any]:
    """The contract with a fault for each rule."""
    doc = copy.deepcopy(contract())
    parts = doc["components"]["schemas"]
    quotes, sales, checks = (doc["paths"][f"/members/{{member}}/{noun}"]["post"] for noun in ("quotes", "settlements", "checks"))
    del parts["CatalogueWork"]["properties"]["id"]["maxLength"]
    del parts["CheckRequest"]["properties"]["works"]["maxItems"]
    del parts["ChosenExtra"]["properties"]["quantity"]["maximum"]
    del parts["WorkCost"]["additionalProperties"]
    parts["Finding"]["properties"]["code"]["enum"] = ["larger-for-less"]
    del parts["Line"]["properties"]["label"]["description"]
    del parts["Share"]["description"]
    parts["Money"]["properties"]["amount"] = {"type": "integer", "description": "Cents."}
    parts["CheckAnswer"]["properties"]["checked"]["type"] = "number"
    parts["CheckAnswer"]["properties"]["allClean"] = {"type": "boolean", "description": "Clean."}
    parts["Forgotten"] = {"type": "object", "description": "Used nowhere."}
    quotes["responses"]["422"] = {"description": "Text.", "content": {"text/plain": {"examples": {"a": {"value": "a"}}}}}
    del quotes["responses"]["200"]["content"]["application/json"]["examples"]
    quotes["description"] = "A price."
    quotes["security"] = [{"keys": []}]
    del quotes["responses"]["401"]
    quotes["operationId"] = "quote-work"
    quotes["tags"] = ["Elsewhere"]
    del sales["operationId"]
    del sales["summary"]
    del checks["description"]
    del doc["tags"][0]["description"]
    del doc["components"]["responses"]["Problem405"]["headers"]
    return doc


def test_every_house_rule_of_spectral_names_its_fault(node_tool: Any, tmp_path: Path) -> None:
    (tmp_path / "faulty.json").write_text(json.dumps(faulty()))
    run = node_tool("spectral", "lint", f"{tmp_path}/faulty.json", "--ruleset", ".ci/spectral.yaml", "--format", "text")
    assert run.returncode == 1, run.stderr
    assert {rule for rule in HOUSE_RULES if f" {rule} " not in run.stdout} == set()


def test_every_rule_of_spectral_has_its_fault() -> None:
    """A rule of the house that is added gets a fault as well."""
    rules = Path(__file__).parents[2].joinpath(".ci", "spectral.yaml").read_text().split("\nrules:\n")[1]
    own = {
        line.strip().removesuffix(":") for line in rules.splitlines() if line.startswith("  ") and line[2].isalpha() and line.endswith(":")
    }
    assert own == HOUSE_RULES


def test_redocly_names_its_faults(node_tool: Any, tmp_path: Path) -> None:
    (tmp_path / "faulty.json").write_text(json.dumps(faulty()))
    # One fault in Money shows in every example: without a limit of its own the linter stops counting before it has named all.
    limits = ("--format", "summary", "--max-problems", "10000")
    run = node_tool("redocly", "lint", f"{tmp_path}/faulty.json", "--config", ".ci/redocly.yaml", *limits)
    assert run.returncode == 1, run.stderr
    assert {rule for rule in REDOCLY_RULES if f" {rule}:" not in run.stdout + run.stderr} == set()
