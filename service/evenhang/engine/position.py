"""Market position: own prices among those that other makers ask, brought to the own work's size.

Knows nobody's name. Asked prices are not sale prices, and the answer says so.
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from statistics import median
from typing import Annotated

from msgspec import Meta, Struct

from evenhang.engine.comparables import STEEPEST, Brought, Comparable, Seen, bring, count_comparables, fitted_exponent, once
from evenhang.engine.money import GivenMoney, Money, Ratio, exact, figure, money
from evenhang.engine.past import LeftOut
from evenhang.engine.quote import measure_work, price_work
from evenhang.engine.refusals import Contradictory, OutOfRange, Refusal
from evenhang.engine.rules import RuleSet
from evenhang.engine.samples import mid_rank_percent, quantile, wilson
from evenhang.engine.works import Work
from evenhang.engine.yields import Reason

QUANTILES = (10, 25, 50, 75, 90)
ASKED_NOT_SOLD = (
    "Asked prices are not sale prices: what was paid, and what was agreed on the way, is not in them, and works that nobody wanted stay to"
    " be seen the longest. A comparison, not an appraisal."
)


class OwnWork(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A work of the member's; without a price the rules price it."""

    id: Annotated[str, Meta(min_length=1, max_length=64)]
    work: Work
    price: GivenMoney | None = None


class QuantilePrice(Struct, frozen=True):
    """So many percent of the comparables ask this or less, at the own work's size."""

    percent: int
    price: Money


class Third(Struct, frozen=True):
    """A third of the comparables by price, and how many of those whose state is known have sold."""

    name: str
    from_price: Money
    to_price: Money
    known: int
    sold_count: int
    sold_percent: Ratio | None
    sold_low_percent: Ratio | None
    sold_high_percent: Ratio | None


class Position(Struct, frozen=True):
    """Where the own price stands. `percentile` counts those below and half of those equal (mid-rank); quantiles are of type 7."""

    id: str
    price: Money
    compared: int
    percentile: Ratio | None = None
    to_median_percent: Ratio | None = None
    quantiles: tuple[QuantilePrice, ...] = ()
    thirds: tuple[Third, ...] = ()
    brought: tuple[Brought, ...] = ()


class Positions(Struct, frozen=True):
    """The positions of own works of one medium among the comparables. Works and comparables left out have their reason."""

    medium: str
    exponent: Ratio
    exponent_from: str
    working: str
    own: tuple[Position, ...]
    left_out_own: tuple[LeftOut, ...]
    left_out_comparables: tuple[LeftOut, ...]
    percentile_kind: str = "mid-rank: those below, and half of those equal"
    quantile_kind: str = "Hyndman and Fan, type 7"
    caution: str = ASKED_NOT_SOLD


@exact
def find_positions(
    rules: RuleSet, name: str, own: Sequence[OwnWork], others: Sequence[Comparable], exponent: Decimal | None, on: date
) -> Positions:
    """Each own work among the comparables. Missing (at /exponent) where these are too few for an exponent and none is given."""
    medium = rules.medium(name)
    if medium.measure in ("hours", "piece"):
        detail = f"Prices of {name} go by {medium.measure}, so works of other sizes cannot be brought to the own one's."
        raise OutOfRange(detail, "/medium", "Ask about a medium that is priced by size.")
    if exponent is not None and not 0 <= exponent <= STEEPEST:
        raise OutOfRange("An exponent is at most 2.", "/exponent")
    seen, out = count_comparables(rules, name, others)
    power, words = (float(exponent), "given") if exponent is not None else fitted_exponent(seen)
    found, own_out = [], []
    ids: set[str] = set()
    for i, mine in enumerate(own):
        try:
            once(mine.id, ids)
            found.append(_position(rules, name, mine, seen, power, on))
        except Refusal as refusal:
            own_out.append(LeftOut(mine.id, Reason(f"#/own/{i}{refusal.pointer}", refusal.code, refusal.sentence)))
    text = figure(Decimal(power), 8)
    return Positions(
        medium=name,
        exponent=text,
        exponent_from=words,
        working=f"price at the own size = price x (own {medium.measure} / its {medium.measure}) ^ {text}",
        own=tuple(found),
        left_out_own=tuple(own_out),
        left_out_comparables=tuple(out),
    )


def _position(rules: RuleSet, name: str, mine: OwnWork, seen: Sequence[Seen], power: float, on: date) -> Position:
    """One own work among the comparables. Refusals point into its row."""
    if mine.work.medium != name:
        raise Contradictory(f"This work is of {mine.work.medium}, the comparables of {name}.", "/work/medium", "Ask medium by medium.")
    asked = mine.price.in_currency(rules.currency, "/price") if mine.price else None
    try:
        medium = rules.medium(name)
        measure = measure_work(rules, mine.work, medium, medium.measure)
        price = price_work(rules, mine.work, on).retail if asked is None else asked
    except Refusal as refusal:
        raise refusal.under("/work") from None
    if measure <= 0 or price <= 0:
        raise OutOfRange("A measure or price of 0 cannot be compared.", "/work")
    brought = tuple(bring(rules, one, measure, power) for one in seen)
    rows = [(float(at.at_own_size.amount), one.sold) for at, one in zip(brought, seen, strict=True) if at.at_own_size is not None]
    prices = [row[0] for row in rows]
    shown = money(price, rules.currency)
    if not rows:
        return Position(mine.id, shown, 0, brought=brought)
    return Position(
        id=mine.id,
        price=shown,
        compared=len(rows),
        percentile=figure(Decimal(mid_rank_percent(prices, float(price))), 2),
        to_median_percent=_off(float(price), median(prices)),
        quantiles=tuple(QuantilePrice(p, money(Decimal(quantile(prices, p / 100)), rules.currency)) for p in QUANTILES),
        thirds=_thirds(rules, rows),
        brought=brought,
    )


def _off(price: float, middle: float) -> str | None:
    """How far above the middle; None where that is next to nothing."""
    return figure(Decimal(100 * (price / middle - 1)), 2) if middle > 0 else None


def _thirds(rules: RuleSet, rows: Sequence[tuple[float, bool | None]]) -> tuple[Third, ...]:
    """Sell-through by price: a third ends at its quantile, so that equal prices stay together; empty thirds are left out."""
    first, second = (quantile([price for price, _ in rows], part) for part in (1 / 3, 2 / 3))
    out = []
    for place, name in enumerate(("lower", "middle", "upper")):
        inside = [row for row in rows if (row[0] > first) + (row[0] > second) == place]
        if inside:
            out.append(_third(rules, name, inside))
    return tuple(out)


def _third(rules: RuleSet, name: str, rows: Sequence[tuple[float, bool | None]]) -> Third:
    prices = [price for price, _ in rows]
    known = [sold for _, sold in rows if sold is not None]
    hits = sum(known)
    shares = (hits / len(known), *wilson(hits, len(known))) if known else None
    percents = (None, None, None) if shares is None else tuple(figure(Decimal(100 * share), 2) for share in shares)
    low, high = (money(Decimal(end), rules.currency) for end in (min(prices), max(prices)))
    return Third(name, low, high, len(known), hits, *percents)
