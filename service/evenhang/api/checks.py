"""Checks: does a catalogue hang together?"""

from datetime import date
from typing import Annotated

from msgspec import Meta, Struct

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, resolve, used
from evenhang.engine.checks import CatalogueWork, Finding, check_catalogue


class CheckRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A catalogue to check."""

    works: Annotated[tuple[CatalogueWork, ...], Meta(max_length=10_000)]
    as_of: date | None = None
    rules_digest: Digest | None = None


class CheckAnswer(Struct, frozen=True):
    """The findings over a catalogue; `clean` where there is no contradiction."""

    member: str
    as_of: date
    rules: RulesUsed
    checked: int
    clean: bool
    findings: tuple[Finding, ...]


def check(call: Call) -> CheckAnswer:
    """The findings over the catalogue on the day."""
    rules, on = resolve(call)
    works: tuple[CatalogueWork, ...] = call.body.works
    findings = tuple(check_catalogue(rules, works, on))
    clean = not any(f.severity == "contradiction" for f in findings)
    return CheckAnswer(rules.member, on, used(rules), len(works), clean, findings)


CHECKS = Operation(
    "checkCatalogue",
    "POST",
    "/members/{member}/checks",
    "Check a catalogue",
    "Contradictions in a catalogue." + SAFE,
    (CheckAnswer,),
    check,
    CheckRequest,
    scope="books",
)
