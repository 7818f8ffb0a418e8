"""Sold works in; proceeds, earnings, hours and yield out: per work, outlet, medium and year, and whole.

Knows nothing of files: the caller hands in the rules of a day. One bad work never sinks the rest.
Arithmetic, not advice.
"""

from collections.abc import Callable, Iterable
from datetime import date
from decimal import Decimal
from typing import Annotated

from msgspec import Meta, Struct

from evenhang.engine.money import ZERO, Amount, GivenMoney, Money, Ratio, exact, figure, money
from evenhang.engine.refusals import Contradictory, NotInForce, Refusal
from evenhang.engine.rules import RuleSet
from evenhang.engine.sale import costs_in, sell
from evenhang.engine.settlement import CAUTION
from evenhang.engine.stated import stated_costs, stated_hours, stated_price
from evenhang.engine.works import Name, WorkCost

TWO = Decimal(2)


class SoldWork(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A sold work: where and when it went, the listed price in the member's or the outlet's currency, and what was agreed."""

    id: Annotated[str, Meta(min_length=1, max_length=64)]
    outlet: Name
    medium: Name
    sold_on: date
    price: GivenMoney
    discount_percent: Amount | None = None
    costs: Annotated[tuple[WorkCost, ...], Meta(max_length=50)] = ()
    hours: Amount | None = None


class Reason(Struct, frozen=True):
    """Why a row has no figures, or no yield: where in the request, a stable code, and what would mend it."""

    pointer: str
    code: str
    detail: str


class YieldRow(Struct, frozen=True):
    """One sold work, in the member's currency, by the rules in force on the day it was sold.

    `sales` is the listed price less the discount. Without hours there is no yield; with refused data nothing but the reason.
    """

    id: str
    outlet: str
    medium: str
    sold_on: date
    rules_digest: str | None = None
    sales: Money | None = None
    proceeds: Money | None = None
    earnings: Money | None = None
    hours: Ratio | None = None
    yield_per_hour: Money | None = None
    target_met: bool | None = None
    floor_met: bool | None = None
    reason: Reason | None = None


class YieldSum(Struct, frozen=True):
    """Sums over rows: totals of the rows' written amounts; the yields over the works with hours alone.

    `yield_per_hour` weighs each work by its hours, `median_yield_per_hour` counts each work once. `over_target` is what
    those works earned over the hourly target of `as_of` for their hours, or, below 0, short of it.
    """

    name: str
    works: int
    sales: Money
    proceeds: Money
    earnings: Money
    works_with_hours: int
    hours: Ratio
    yield_per_hour: Money | None
    median_yield_per_hour: Money | None
    target_met: int
    floor_met: int
    over_target: Money | None


class Yields(Struct, frozen=True):
    """What sold works brought. `left_out` rows have a reason instead of figures and are in no sum."""

    works: tuple[YieldRow, ...]
    left_out: int
    whole: YieldSum
    outlets: tuple[YieldSum, ...]
    media: tuple[YieldSum, ...]
    years: tuple[YieldSum, ...]
    hourly_target: Money | None
    hourly_floor: Money | None
    caution: str = CAUTION


class _Entry(Struct, frozen=True):
    """A row with figures, and its unrounded yield where it has hours."""

    row: YieldRow
    sales: Decimal
    proceeds: Decimal
    earnings: Decimal
    hours: Decimal | None
    hourly: Decimal | None


@exact
def yields_of(rules: RuleSet, rules_on: Callable[[date], RuleSet], works: tuple[SoldWork, ...], on: date) -> Yields:
    """The yields of `works` sold up to the day `on`; `rules` are those of that day, `rules_on` gives any day's."""
    rows: list[YieldRow] = []
    entries: list[_Entry] = []
    seen: set[str] = set()
    for i, work in enumerate(works):
        try:
            _check_row(work, seen, on)
            entry = _entry(rules, _rules_of_day(rules_on, work), work, f"/works/{i}")
            entries.append(entry)
            rows.append(entry.row)
        except Refusal as refusal:
            reason = Reason(f"#/works/{i}{refusal.pointer}", refusal.code, refusal.sentence)
            rows.append(YieldRow(work.id, work.outlet, work.medium, work.sold_on, reason=reason))
        seen.add(work.id)
    currency = rules.currency
    earning = rules.rules.earning
    target = None if earning is None else earning.hourly_target
    return Yields(
        works=tuple(rows),
        left_out=len(rows) - len(entries),
        whole=_sum("whole", entries, currency, target),
        outlets=_groups(entries, lambda row: row.outlet, currency, target),
        media=_groups(entries, lambda row: row.medium, currency, target),
        years=_groups(entries, lambda row: str(row.sold_on.year), currency, target),
        hourly_target=None if target is None else money(target, currency),
        hourly_floor=None if earning is None else money(earning.hourly_floor, currency),
    )


def _check_row(work: SoldWork, seen: set[str], on: date) -> None:
    if work.id in seen:
        raise Contradictory("A work of this id stands further up already; it is counted once.", "/id", "Give each sale its own id.")
    if work.sold_on > on:
        raise Contradictory(f"On {on} this work was not sold yet.", "/sold_on", "Ask as of a later day.")


def _rules_of_day(rules_on: Callable[[date], RuleSet], work: SoldWork) -> RuleSet:
    try:
        return rules_on(work.sold_on)
    except NotInForce as refusal:
        raise NotInForce(refusal.detail, "/sold_on", refusal.cure) from None


def _entry(rules: RuleSet, then: RuleSet, work: SoldWork, pointer: str) -> _Entry:
    """The sale settled by the rules of its day and brought to the member's currency. Refusals point into the work."""
    if then.currency != rules.currency:
        detail = f"On that day the member's currency was {then.currency}, now it is {rules.currency}: the two are not summed."
        raise Contradictory(detail, "/sold_on", "Ask for the years of one currency at a time.")
    then.medium(work.medium)
    listed = stated_price(then, work.outlet, work.price)
    hours = stated_hours(work.hours)
    own = costs_in(then, stated_costs(then, work.costs), work.outlet)
    sold = sell(then, work.outlet, listed, work.discount_percent or ZERO, own.frame)
    rate = then.rate(sold.currency)
    sales, proceeds = sold.sale / rate, sold.proceeds / rate
    earnings = (sold.proceeds - own.total) / rate
    hourly = earnings / hours if hours else None
    earning = then.rules.earning
    written = [money(amount, rules.currency) for amount in (sales, proceeds, earnings)]
    row = YieldRow(
        id=work.id,
        outlet=work.outlet,
        medium=work.medium,
        sold_on=work.sold_on,
        rules_digest=then.digest,
        sales=written[0],
        proceeds=written[1],
        earnings=written[2],
        hours=figure(hours) if hours else None,
        yield_per_hour=None if hourly is None else money(hourly, rules.currency),
        target_met=None if hourly is None or earning is None else hourly >= earning.hourly_target,
        floor_met=None if hourly is None or earning is None else hourly >= earning.hourly_floor,
        reason=None if hours else Reason(f"#{pointer}/hours", "missing-figure", "No hours were given, so there is no yield."),
    )
    return _Entry(row, written[0].amount, written[1].amount, written[2].amount, hours, hourly)


def _groups(entries: list[_Entry], key: Callable[[YieldRow], str], currency: str, target: Decimal | None) -> tuple[YieldSum, ...]:
    """The sums by outlet, medium or year, in the order of their names."""
    found: dict[str, list[_Entry]] = {}
    for entry in entries:
        found.setdefault(key(entry.row), []).append(entry)
    return tuple(_sum(name, found[name], currency, target) for name in sorted(found))


def _sum(name: str, entries: Iterable[_Entry], currency: str, target: Decimal | None) -> YieldSum:
    every = list(entries)
    timed = [entry for entry in every if entry.hours]
    hours = sum((entry.hours for entry in timed if entry.hours), ZERO)
    earned = sum((entry.earnings for entry in timed), ZERO)
    hourly = [entry.hourly for entry in timed if entry.hourly is not None]
    return YieldSum(
        name=name,
        works=len(every),
        sales=money(sum((entry.sales for entry in every), ZERO), currency),
        proceeds=money(sum((entry.proceeds for entry in every), ZERO), currency),
        earnings=money(sum((entry.earnings for entry in every), ZERO), currency),
        works_with_hours=len(timed),
        hours=figure(hours),
        yield_per_hour=money(earned / hours, currency) if hours else None,
        median_yield_per_hour=money(median(hourly), currency) if hourly else None,
        target_met=sum(entry.row.target_met is True for entry in every),
        floor_met=sum(entry.row.floor_met is True for entry in every),
        over_target=None if target is None or not hours else money(earned - target * hours, currency),
    )


@exact
def median(values: list[Decimal]) -> Decimal:
    """The middle value, or the mean of the two in the middle; unrounded. ValueError for none."""
    if not values:
        raise ValueError("no values, no median")
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / TWO
