"""Past works: what they cost, how long they took, what they asked; and their price of the size alone, taken apart again.

Knows nothing of statistics.
"""

from datetime import date
from decimal import Decimal
from typing import Annotated

from msgspec import Meta, Struct
from msgspec.structs import replace

from evenhang.engine.growth import growth
from evenhang.engine.money import HUNDRED, ONE, ZERO, GivenMoney, exact
from evenhang.engine.quote import price_work
from evenhang.engine.refusals import OutOfRange, Refusal
from evenhang.engine.rules import FixedExtra, RuleSet, schedule_per
from evenhang.engine.saying import say
from evenhang.engine.schedules import Flat, Listed, Schedule, Time
from evenhang.engine.sizes import DEFAULT_PER, DIMENSION, Per
from evenhang.engine.works import Work
from evenhang.engine.yields import Reason


class PastWork(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A work that was made: with its hours it tells what an hour needs, with its price what the maker feels."""

    id: Annotated[str, Meta(min_length=1, max_length=64)]
    work: Work
    price: GivenMoney | None = None


class LeftOut(Struct, frozen=True):
    """A work that could not be taken into account, and why."""

    id: str
    reason: Reason


class SizePrice(Struct, frozen=True):
    """What a past work asked for its size alone, at the rates of the rules' base date, and its measure in `per`."""

    id: str
    measure: Decimal
    amount: Decimal


def per_of(rules: RuleSet, name: str) -> Per:
    """The unit in which rates of the medium count."""
    medium = rules.medium(name)
    if isinstance(medium.schedule, (Listed, Time)):
        return DEFAULT_PER[DIMENSION[medium.measure]]
    return schedule_per(medium.schedule, medium.measure)


def with_schedule(rules: RuleSet, name: str, schedule: Schedule, *, keep_minimum: bool = True) -> RuleSet:
    """The same rules with another schedule for one medium."""
    medium = replace(rules.medium(name), schedule=schedule)
    if not keep_minimum:
        medium = replace(medium, minimum=None)
    return rules.with_medium(name, medium)


@exact
def size_price(rules: RuleSet, past: PastWork, on: date) -> SizePrice:
    """The price less charged costs, extras, grade and increase. OutOfRange where nothing of it is left, refusals point into the row."""
    work, given = past.work, past.price
    rules.medium(work.medium, "/work/medium")
    plain = with_schedule(rules, work.medium, Flat(ONE, per=per_of(rules, work.medium)), keep_minimum=False)
    try:
        shown = price_work(plain, work, on)
    except Refusal as refusal:
        raise refusal.under("/work") from None
    asked = given.in_currency(rules.currency, "/price") if given is not None else ZERO
    charged = sum((line.amount.amount for line in shown.lines if line.code.startswith("cost:")), ZERO)
    grown = growth(rules.rules.increase, on)
    fixed, percent = ZERO, ZERO
    for chosen in work.extras:
        extra = rules.rules.extras[chosen.name]
        if isinstance(extra, FixedExtra):
            fixed += extra.amount * grown * chosen.quantity
        else:
            percent += extra.percent * chosen.quantity
    factor = rules.rules.grades[work.grade].factor if work.grade is not None else ONE
    art = asked - charged - fixed
    measure = Decimal(shown.measured)
    if art <= 0 or factor <= 0:
        raise OutOfRange(say("After costs and extras nothing of the price is left for the size."), "/price/amount")
    if measure <= 0:
        raise OutOfRange(say("A measure of 0 tells nothing about how prices grow with size."), "/work")
    return SizePrice(past.id, measure, art / (ONE + percent / HUNDRED) / grown / factor)
