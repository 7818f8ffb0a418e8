"""Yields: what sold works brought, per hour."""

from datetime import date
from functools import partial
from typing import Annotated

from msgspec import Meta, Struct

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, resolve, used
from evenhang.engine.yields import SoldWork, Yields, yields_of


class YieldRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """Sold works; those sold after `as_of` get a reason instead of figures."""

    works: Annotated[tuple[SoldWork, ...], Meta(max_length=10_000)]
    as_of: date | None = None
    rules_digest: Digest | None = None


class YieldAnswer(Struct, frozen=True):
    """What the works brought. `rules` are those of `as_of`; each row names those of the day its work was sold."""

    member: str
    as_of: date
    rules: RulesUsed
    yields: Yields


def work_yields(call: Call) -> YieldAnswer:
    """The yields of sold works, each settled by the rules in force on the day it was sold."""
    rules, on = resolve(call)
    found = yields_of(rules, partial(call.book.in_force, call.member), call.body.works, on)
    return YieldAnswer(rules.member, on, used(rules), found)


YIELDS = Operation(
    "sumYields",
    "POST",
    "/members/{member}/yields",
    "Sum up what sold works brought",
    "Proceeds, earnings, hours and yield of sold works: per work, outlet, medium and year, and whole." + SAFE,
    (YieldAnswer,),
    work_yields,
    YieldRequest,
    scope="books",
)
