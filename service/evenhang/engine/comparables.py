"""Comparables: works of other makers, in the member's currency and at another size, and how their prices grow with size.

Knows nobody's name, and no own work: only what was seen.
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from math import exp, log
from typing import Annotated

from msgspec import Meta, Struct

from evenhang.engine.money import GivenMoney, Money, money
from evenhang.engine.past import LeftOut
from evenhang.engine.quote import measure_work
from evenhang.engine.refusals import Contradictory, Missing, OutOfRange, Refusal, Unknown
from evenhang.engine.rules import RuleSet
from evenhang.engine.samples import banded_slope
from evenhang.engine.sizes import Shape, Size
from evenhang.engine.works import Work
from evenhang.engine.yields import Reason

FEWEST_FITTED = 5
FEWEST_SIZES = 3
STEEPEST = 2  # of an exponent, as the rule book has it
MOST_APART = 1_000  # times: an exponent tells nothing over such a distance


class Comparable(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A work of another maker's: its size, what was asked for it, where it was seen, and whether it sold, if that is known."""

    id: Annotated[str, Meta(min_length=1, max_length=64)]
    size: Size
    price: GivenMoney
    seen_at: Annotated[str, Meta(max_length=200)]
    shape: Shape = "rectangle"
    sold: bool | None = None
    seen_on: date | None = None


class Brought(Struct, frozen=True):
    """A comparable's price in the member's currency, and brought to the own work's size; or why it is not compared with this work."""

    id: str
    converted: Money
    at_own_size: Money | None
    reason: Reason | None = None


class Seen(Struct, frozen=True):
    """A comparable that counts: its measure in mm, mm2 or mm3, and its price in the member's currency."""

    id: str
    measure: Decimal
    price: Decimal
    sold: bool | None


def once(id: str, ids: set[str]) -> None:
    if id in ids:
        raise Contradictory("A row of this id stands further up already; it is counted once.", "/id", "Give each its own id.")
    ids.add(id)


def count_comparables(rules: RuleSet, name: str, others: Sequence[Comparable]) -> tuple[list[Seen], list[LeftOut]]:
    """The comparables that can be compared, and those that cannot with their reason."""
    seen: list[Seen] = []
    out: list[LeftOut] = []
    ids: set[str] = set()
    for i, other in enumerate(others):
        try:
            once(other.id, ids)
            price = _converted(rules, other.price)
            medium = rules.medium(name)
            measure = measure_work(rules, Work(name, size=other.size, shape=other.shape), medium, medium.measure)
            if measure <= 0:
                raise OutOfRange("A measure of 0 cannot be brought to another size.", "/size")
            seen.append(Seen(other.id, measure, price, other.sold))
        except Refusal as refusal:
            out.append(LeftOut(other.id, Reason(f"#/comparables/{i}{refusal.pointer}", refusal.code, refusal.sentence)))
    return seen, out


def _converted(rules: RuleSet, price: GivenMoney) -> Decimal:
    """The price in the member's currency by the pinned rate, unrounded. Unknown for a currency without one."""
    if price.amount == 0:
        raise OutOfRange("A price is over 0.", "/price/amount")
    if price.currency != rules.currency and price.currency not in rules.rules.fx:
        known = (rules.currency, *rules.rules.fx)
        raise Unknown.name("exchange rate", price.currency, known, "/price/currency")
    return price.in_currency(price.currency, "/price") / rules.rate(price.currency)


def fitted_exponent(seen: Sequence[Seen]) -> tuple[float, str]:
    """The exponent of the comparables themselves, by Theil-Sen. Missing where they are too few, or do not grow with size."""
    sizes = len({one.measure for one in seen})
    if len(seen) < FEWEST_FITTED or sizes < FEWEST_SIZES:
        detail = f"{len(seen)} comparables of {sizes} sizes are too few to tell how prices grow with size."
        raise Missing(detail, "/exponent", f"State the exponent, or at least {FEWEST_FITTED} comparables of {FEWEST_SIZES} sizes.")
    line = banded_slope([log(one.measure) for one in seen], [log(one.price) for one in seen])
    if not 0 <= line.slope <= STEEPEST:
        raise OutOfRange(f"The comparables' own exponent is {line.slope:.4f}, outside 0 to 2.", "/exponent", "State the exponent.")
    return line.slope, f"fitted to {len(seen)} comparables of {sizes} sizes (Theil-Sen), 95 % band {line.low:.4f} to {line.high:.4f}"


def bring(rules: RuleSet, one: Seen, measure: Decimal, power: float) -> Brought:
    """The comparable at the own work's size, written in minor digits, so that equal prices are equal."""
    converted = money(one.price, rules.currency)
    if not MOST_APART * min(measure, one.measure) / max(measure, one.measure) >= 1:
        detail = f"Its size is over {MOST_APART} times smaller or larger than the work's: nothing can be told from it."
        return Brought(one.id, converted, None, Reason("#/comparables", OutOfRange.code, detail))
    return Brought(one.id, converted, money(one.price * Decimal(exp(power * log(measure / one.measure))), rules.currency))
