"""Ladders: sizes to prices, the gaps between them, and budgets to sizes."""

from datetime import date
from typing import Annotated

from msgspec import Meta, Struct, field

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, Tried, resolve, used
from evenhang.api.pictured import pictured
from evenhang.api.replies import JSON, Reply
from evenhang.engine.budgets import BudgetFit, fit_budget
from evenhang.engine.ladder import USUAL_RATIO, BandCount, Ladder, Offer, build_ladder, count_bands, making_of, usual_offers
from evenhang.engine.money import Amount, Factor, GivenMoney
from evenhang.engine.refusals import OutOfRange
from evenhang.engine.rules import RuleSet
from evenhang.engine.rungs import Making
from evenhang.engine.saying import say
from evenhang.engine.sizes import Shape, Size
from evenhang.engine.whole import Aspect, Choice, WholeUnit, check_aspect, family_of
from evenhang.engine.works import Name, WorkCost
from evenhang.pictures.canvas import SVG
from evenhang.pictures.ladder import draw_ladders


class Budget(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """What a buyer would spend, in the member's currency, for a work alone or framed."""

    amount: GivenMoney
    framed: bool = False


class LadderRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """The medium whose ladder is asked for (every one of the member's without it), the sizes on it, and buyers' budgets.

    Without sizes, formats or hours the ladder stands on the formats that the member shows.
    """

    medium: Name | None = None
    sizes: Annotated[tuple[Size, ...], Meta(max_length=100)] = ()
    formats: Annotated[tuple[Name, ...], Meta(max_length=100)] = ()
    hours: Annotated[tuple[Amount, ...], Meta(max_length=100)] = ()
    shape: Shape = "rectangle"
    grade: Name | None = None
    framing: WorkCost | None = None
    aspect: Aspect | None = None
    unit: WholeUnit | None = None
    most_ratio: Factor | None = None
    budgets: Annotated[tuple[Budget, ...], Meta(max_length=20)] = ()
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")


class LadderAnswer(Struct, frozen=True):
    """The ladder of each medium, the budget bands over all of them, and what each budget pays for in each."""

    member: str
    as_of: date
    rules: RulesUsed
    ladders: tuple[Ladder, ...]
    bands: tuple[BandCount, ...]
    fits: tuple[BudgetFit, ...]


def ladder(call: Call) -> LadderAnswer | Reply:
    """The ladders on the day, and the largest sizes within the budgets."""
    rules, on = resolve(call)
    asked: LadderRequest = call.body
    check_aspect(asked.aspect)
    if asked.most_ratio is not None and asked.most_ratio <= 1:
        raise OutOfRange(say("Two price points are a gap from a ratio over 1."), "/most_ratio", say("Give 2 for a doubling, say."))
    unit: WholeUnit = asked.unit or ("in" if rules.rules.length_unit == "in" else "cm")
    names = tuple(rules.rules.media) if asked.medium is None else (asked.medium,)
    makings = [making_of(rules, name, asked.shape, asked.grade, asked.framing, on) for name in names]
    ratio = asked.most_ratio or USUAL_RATIO
    ladders = tuple(build_ladder(rules, making, _offers(rules, asked, making), asked.aspect, unit, ratio) for making in makings)
    bands = count_bands(rules, [rung for built in ladders for rung in built.rungs])
    answer = LadderAnswer(rules.member, on, used(rules), ladders, bands, _fits(rules, asked, makings, unit))
    return pictured(call, answer, lambda voice: draw_ladders(ladders, bands, voice))


def _offers(rules: RuleSet, asked: LadderRequest, making: Making) -> list[Offer]:
    """The sizes asked about, each with where it stands; the member's own where none is asked about."""
    offers = [Offer(Choice(size=size), f"/sizes/{i}") for i, size in enumerate(asked.sizes)]
    offers += [Offer(Choice(format=name), f"/formats/{i}") for i, name in enumerate(asked.formats)]
    offers += [Offer(Choice(hours=hours), f"/hours/{i}") for i, hours in enumerate(asked.hours)]
    return offers or usual_offers(rules, making.medium)


def _fits(rules: RuleSet, asked: LadderRequest, makings: list[Making], unit: WholeUnit) -> tuple[BudgetFit, ...]:
    """Budget by budget, medium by medium."""
    out = []
    for i, budget in enumerate(asked.budgets):
        amount = budget.amount.in_currency(rules.currency, f"/budgets/{i}/amount")
        for made in makings:
            family = family_of(rules, made.medium, made.shape, asked.aspect, unit)
            out.append(fit_budget(rules, made, family, amount, framed=budget.framed))
    return tuple(out)


LADDERS = Operation(
    "buildLadder",
    "POST",
    "/members/{member}/ladders",
    "Price a range of sizes, and find sizes for a budget",
    "Price points over sizes, unframed and framed, the gaps between them and empty budget bands with sizes that would close them, and the"
    " largest whole size within each budget, proven by the price of the next." + SAFE,
    (LadderAnswer,),
    ladder,
    LadderRequest,
    scope="desk",
    media=(JSON, SVG),
)
