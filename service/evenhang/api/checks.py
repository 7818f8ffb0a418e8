"""Checks: does a catalogue hang together, and what would mend it?"""

from datetime import date
from functools import partial
from typing import Annotated

from msgspec import Meta, Struct, field

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, Tried, resolve, rules_on, used
from evenhang.api.pictured import pictured
from evenhang.api.replies import JSON, Reply
from evenhang.engine.checks.catalogue import CatalogueWork
from evenhang.engine.checks.check import check_catalogue, comparable_works
from evenhang.engine.checks.findings import Finding
from evenhang.engine.checks.listings import USUAL_TOLERANCE
from evenhang.engine.checks.mending import MendedList, MendKind
from evenhang.engine.checks.rungs import USUAL_RATIO
from evenhang.engine.money import Amount, Factor
from evenhang.engine.settlement import CAUTION
from evenhang.pictures.canvas import SVG
from evenhang.pictures.checks import draw_checks


class CheckRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A catalogue to check, and which mended lists are wanted."""

    works: Annotated[tuple[CatalogueWork, ...], Meta(max_length=10_000)]
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")
    tolerance_percent: Amount | None = None
    rung_ratio: Factor | None = None
    mend: Annotated[tuple[MendKind, ...], Meta(max_length=2)] = ()


class CheckAnswer(Struct, frozen=True):
    """The findings over a catalogue; `clean` where there is no contradiction."""

    member: str
    as_of: date
    rules: RulesUsed
    checked: int
    clean: bool
    contradicting_pairs: int
    findings: tuple[Finding, ...]
    mended: tuple[MendedList, ...]
    caution: str = CAUTION


def check(call: Call) -> CheckAnswer | Reply:
    """The findings over the catalogue on the day, and the mended lists."""
    rules, on = resolve(call)
    body: CheckRequest = call.body
    tolerance = USUAL_TOLERANCE if body.tolerance_percent is None else body.tolerance_percent
    rung_ratio = USUAL_RATIO if body.rung_ratio is None else body.rung_ratio
    wanted = tuple(dict.fromkeys(body.mend))
    found = check_catalogue(rules, partial(rules_on, call), body.works, on, tolerance, rung_ratio, wanted)
    clean = not any(finding.severity == "contradiction" for finding in found.findings)
    answer = CheckAnswer(rules.member, on, used(rules), len(body.works), clean, found.contradicting_pairs, found.findings, found.mended)
    return pictured(
        call, answer, lambda voice: draw_checks(rules, comparable_works(rules, partial(rules_on, call), body.works, on), found, voice)
    )


CHECKS = Operation(
    "checkCatalogue",
    "POST",
    "/members/{member}/checks",
    "Check a catalogue",
    "Everything in a catalogue that does not hang together, with the figures that prove it and what would mend it; if wanted, "
    "mended price lists. Arithmetic, not advice." + SAFE,
    (CheckAnswer,),
    check,
    CheckRequest,
    scope="books",
    media=(JSON, SVG),
)
