"""Yields: what sold works brought, per hour."""

from datetime import date
from functools import partial
from typing import Annotated

from msgspec import Meta, Struct, field

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, Tried, resolve, rules_on, used
from evenhang.engine.money import GivenMoney
from evenhang.engine.refusals import Missing, OutOfRange
from evenhang.engine.rules import RuleSet
from evenhang.engine.season import Season, SeasonRung, season_of
from evenhang.engine.yields import SoldWork, Yields, yields_of


class YieldRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """Sold works; those sold after `as_of` get a reason instead of figures.

    With `income_wanted`, of the calendar year of `as_of`, the answer says how many works of which rung would make it.
    """

    works: Annotated[tuple[SoldWork, ...], Meta(max_length=10_000)]
    income_wanted: GivenMoney | None = None
    rungs: Annotated[tuple[SeasonRung, ...], Meta(max_length=50)] = ()
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")


class YieldAnswer(Struct, frozen=True):
    """What the works brought. `rules` are those of `as_of`; each row names those of the day its work was sold."""

    member: str
    as_of: date
    rules: RulesUsed
    yields: Yields
    season: Season | None


def work_yields(call: Call) -> YieldAnswer:
    """The yields of sold works, each settled by the rules in force on the day it was sold."""
    rules, on = resolve(call)
    found = yields_of(rules, partial(rules_on, call), call.body.works, on)
    return YieldAnswer(rules.member, on, used(rules), found, _season(rules, found, call.body, on))


def _season(rules: RuleSet, found: Yields, asked: YieldRequest, on: date) -> Season | None:
    """The season, where an income is wanted. Missing for rungs without one, OutOfRange for one of 0."""
    if asked.income_wanted is None:
        if asked.rungs:
            raise Missing("Rungs are counted against an income.", "/income_wanted", "State the income wanted of the year.")
        return None
    wanted = asked.income_wanted.in_currency(rules.currency, "/income_wanted")
    if wanted == 0:
        raise OutOfRange("An income wanted is over 0.", "/income_wanted/amount")
    return season_of(rules, found, wanted, asked.rungs, on)


YIELDS = Operation(
    "sumYields",
    "POST",
    "/members/{member}/yields",
    "Sum up what sold works brought",
    "Proceeds, earnings, hours and yield of sold works: per work, outlet, medium and year, and whole; and how many works of which"
    " rung would make a wanted income." + SAFE,
    (YieldAnswer,),
    work_yields,
    YieldRequest,
    scope="books",
)
