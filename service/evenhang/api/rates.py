"""Rates: what an hour needs, and the rule behind a maker's feel, from past works."""

from datetime import date
from decimal import Decimal
from typing import Annotated

from msgspec import Meta, Struct, field

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, Tried, resolve, used
from evenhang.engine.feel import CommonExponent, MediumFeel, feel_of
from evenhang.engine.money import HUNDRED, Amount, GivenMoney
from evenhang.engine.past import LeftOut, PastWork, SizePrice, size_price
from evenhang.engine.rates import HourlyRate, Timed, hourly_rate, timed_work
from evenhang.engine.refusals import Contradictory, Missing, OutOfRange, Refusal
from evenhang.engine.rules import RuleSet
from evenhang.engine.yields import Reason

USUAL_SHARE = Decimal(80)  # our own choice, no source


class RateRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """Past works: those with hours tell what an hour needs, those with a price what the maker feels; a work may have both.

    A wanted yield is per hour; without it, it is the member's hourly target.
    """

    works: Annotated[tuple[PastWork, ...], Meta(min_length=1, max_length=200)]
    share_percent: Amount | None = None
    wanted: GivenMoney | None = None
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")


class RateAnswer(Struct, frozen=True):
    """The rate that an hour needs and the rule behind the prices, medium by medium; works left out have their reason."""

    member: str
    as_of: date
    rules: RulesUsed
    hourly: tuple[HourlyRate, ...]
    feel: tuple[MediumFeel, ...]
    common: CommonExponent | None
    left_out_works: tuple[LeftOut, ...]


def rates(call: Call) -> RateAnswer:
    """The rates that past works tell, by the rules of the day."""
    rules, on = resolve(call)
    asked: RateRequest = call.body
    share = asked.share_percent if asked.share_percent is not None else USUAL_SHARE
    if not 0 < share <= HUNDRED:
        raise OutOfRange("A share of works is over 0 and at most 100 %.", "/share_percent")
    wanted = _wanted(rules, asked)
    timed: dict[str, list[Timed]] = {}
    priced: dict[str, list[SizePrice]] = {}
    out: list[LeftOut] = []
    seen: set[str] = set()
    for i, past in enumerate(asked.works):
        try:
            _take(rules, past, f"/works/{i}", on, wanted, seen, timed, priced)
        except Refusal as refusal:
            out.append(LeftOut(past.id, Reason(f"#/works/{i}{refusal.pointer}", refusal.code, refusal.sentence)))
        seen.add(past.id)
    hourly = tuple(hourly_rate(rules, name, works, on, wanted, share) for name, works in timed.items() if wanted is not None)
    feel, common = feel_of(rules, priced)
    return RateAnswer(rules.member, on, used(rules), hourly, feel, common, tuple(out))


def _take(
    rules: RuleSet,
    past: PastWork,
    pointer: str,
    on: date,
    wanted: Decimal | None,
    seen: set[str],
    timed: dict[str, list[Timed]],
    priced: dict[str, list[SizePrice]],
) -> None:
    """Put the work where it tells something. Refusals point into its row."""
    if past.id in seen:
        raise Contradictory("A work of this id stands further up already; it is counted once.", "/id", "Give each work its own id.")
    if past.price is None and not past.work.hours:
        raise Missing("The work has neither hours nor a price, so it tells nothing.", "/price", "Add one of them.")
    name = past.work.medium
    try:
        known = timed_work(rules, past, pointer, on, wanted) if past.work.hours and wanted is not None else None
    except Refusal as refusal:
        raise refusal.under("/work") from None
    felt = size_price(rules, past, on) if past.price is not None else None
    if felt is not None:
        priced.setdefault(name, []).append(felt)
    if known is not None:
        timed.setdefault(name, []).append(known)


def _wanted(rules: RuleSet, asked: RateRequest) -> Decimal | None:
    """The wanted yield, or the hourly target; None where no work has hours. Missing where hours are given and neither is known."""
    if asked.wanted is not None:
        return asked.wanted.in_currency(rules.currency, "/wanted")
    if rules.rules.earning is not None:
        return rules.rules.earning.hourly_target
    if any(past.work.hours for past in asked.works):
        raise Missing("Nothing says how much an hour should bring.", "/wanted", "State the wanted amount.")
    return None


RATES = Operation(
    "findRates",
    "POST",
    "/members/{member}/rates",
    "Find the rates behind past works",
    "From hours and costs of past works, the unit rate at which a wanted share of them reach the hourly target in the worst outlet;"
    " from their prices, the rule behind the maker's feel, how tightly they follow it, the works that do not, and ready schedules." + SAFE,
    (RateAnswer,),
    rates,
    RateRequest,
    scope="books",
)
