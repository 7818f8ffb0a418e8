"""Editions: the price of each number, the proofs, and how many must sell."""

from datetime import date
from decimal import Decimal
from typing import Annotated

from msgspec import Meta, Struct, field

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, Tried, resolve, used
from evenhang.engine.edition import Edition, price_edition
from evenhang.engine.money import ZERO, Amount, GivenMoney
from evenhang.engine.refusals import Contradictory
from evenhang.engine.rules import RuleSet
from evenhang.engine.run import Run, run_of
from evenhang.engine.settlement import CAUTION
from evenhang.engine.stated import stated_hours
from evenhang.engine.works import Name, Work

MOST_NUMBERS = 1_000


class RunCost(Struct, frozen=True, forbid_unknown_fields=True):
    """Something that the whole run cost, under any name of the member's own, such as printing or a mould."""

    name: Name
    amount: GivenMoney


class EditionRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """An edition to price: one copy as a work, with its own costs and hours, and what the whole run takes."""

    work: Work
    numbers: Annotated[int, Meta(ge=1, le=MOST_NUMBERS)]
    proofs: Annotated[int, Meta(ge=0, le=MOST_NUMBERS)] = 0
    run_costs: Annotated[tuple[RunCost, ...], Meta(max_length=50)] = ()
    run_hours: Amount | None = None
    hourly_target: GivenMoney | None = None
    outlet: Name | None = None
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")


class EditionAnswer(Struct, frozen=True):
    """The edition, number by number, and what its run brings in each outlet."""

    member: str
    as_of: date
    rules: RulesUsed
    edition: Edition
    run: Run
    caution: str = CAUTION


def edition(call: Call) -> EditionAnswer:
    """The edition's prices on the day and how many of it must sell."""
    rules, on = resolve(call)
    asked: EditionRequest = call.body
    cost = _run_cost(rules, asked.run_costs)
    hours = stated_hours(asked.run_hours, "/run_hours") or ZERO
    stated_hours(asked.work.hours, "/work/hours")
    made, price = price_edition(rules, asked.work, asked.numbers, asked.proofs, cost, hours, on)
    run = run_of(rules, made, price, cost, hours, _hourly(rules, asked), asked.outlet)
    return EditionAnswer(rules.member, on, used(rules), made, run)


def _run_cost(rules: RuleSet, costs: tuple[RunCost, ...]) -> Decimal:
    """The sum of the run's costs. Contradictory for one said twice or in another currency."""
    whole, seen = ZERO, set()
    for i, cost in enumerate(costs):
        if cost.name in seen:
            raise Contradictory(f'"{cost.name}" stands twice in run_costs.', f"/run_costs/{i}/name", "Say it once.")
        seen.add(cost.name)
        whole += cost.amount.in_currency(rules.currency, f"/run_costs/{i}/amount")
    return whole


def _hourly(rules: RuleSet, asked: EditionRequest) -> Decimal | None:
    """The wanted yield: as asked, else the member's hourly target, else none."""
    if asked.hourly_target is not None:
        return asked.hourly_target.in_currency(rules.currency, "/hourly_target")
    return None if rules.rules.earning is None else rules.rules.earning.hourly_target


EDITIONS = Operation(
    "priceEdition",
    "POST",
    "/members/{member}/editions",
    "Price an edition",
    "The price of each number as an edition sells through its steps, its artist's proofs, the run's costs and hours spread over"
    " it, and how many numbers must sell to break even and to reach the wanted yield." + SAFE,
    (EditionAnswer,),
    edition,
    EditionRequest,
    scope="books",
)
