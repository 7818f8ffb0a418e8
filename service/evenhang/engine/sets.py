"""A set: works sold together at the set's terms, the discount spread over them without losing a cent.

Knows nothing of who asks. Arithmetic, not advice.
"""

from collections.abc import Sequence
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Annotated

from msgspec import Meta, Struct
from msgspec.structs import replace

from evenhang.engine.money import HUNDRED, ZERO, Money, Ratio, exact, figure, money, share_out, to_minor
from evenhang.engine.quote import Price, price_work
from evenhang.engine.refusals import Contradictory, NotOffered, Refusal
from evenhang.engine.rounding import at_or_below, to_grid
from evenhang.engine.rules import Discount, Origin, RuleSet, SetTerms
from evenhang.engine.sale import listed_in
from evenhang.engine.settlement import Settlement, settle
from evenhang.engine.works import Work
from evenhang.engine.yields import Reason


class SetWork(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A work of the set."""

    id: Annotated[str, Meta(min_length=1, max_length=64)]
    work: Work


class SetRow(Struct, frozen=True):
    """A work of the set: its own price, its part of the discount, and what is left of the two; or why it has none."""

    id: str
    price: Money | None = None
    discount: Money | None = None
    price_in_set: Money | None = None
    reason: Reason | None = None


class SetOutlet(Struct, frozen=True):
    """The set in one outlet, in its currency: the single prices together, what is taken off, and what is left to pay."""

    outlet: str
    singly: Money
    discount: Money
    price: Money


class SetOffer(Struct, frozen=True):
    """The set, priced. Rows sum to `singly`, `discount` and `price`, to the last cent.

    A work that cannot be priced has its reason, and then the set has no price: the sums are None and `outlets` empty.
    """

    works: tuple[SetRow, ...]
    discount_percent: Ratio
    on_grid: bool
    singly: Money | None
    discount: Money | None
    price: Money | None
    outlets: tuple[SetOutlet, ...]
    note: str


class PricedSet(Struct, frozen=True):
    """An offer with the prices of its works, from which it is settled; empty where the set has no price."""

    offer: SetOffer
    prices: tuple[Price, ...]


@exact
def price_set(rules: RuleSet, works: Sequence[SetWork], on: date) -> PricedSet:
    """The set of `works` on the day `on`. NotOffered where the rules have no terms for sets."""
    terms = rules.rules.sets
    if terms is None:
        raise NotOffered("This member has no terms for sets on that day.", "", "Ask for a quote of each work.")
    percent = percent_off(terms, len(works))
    tried = [_price(rules, item, works[:i], f"/works/{i}", on) for i, item in enumerate(works)]
    prices = tuple(price for price in tried if isinstance(price, Price))
    if len(prices) < len(tried):
        rows = tuple(_row(rules, item.id, found) for item, found in zip(works, tried, strict=True))
        note = "A work without a price leaves the set without one: mend it, or leave it out."
        return PricedSet(SetOffer(rows, figure(percent), terms.total_on_grid, None, None, None, (), note), ())
    retails = [price.retail for price in prices]
    singly = sum(retails, ZERO)
    price = _reduced(rules, terms, percent, singly, rules.currency)
    parts = share_out(singly - price, retails, rules.unit)
    offer = SetOffer(
        works=tuple(_row(rules, item.id, found, part) for item, found, part in zip(works, prices, parts, strict=True)),
        discount_percent=figure(percent),
        on_grid=terms.total_on_grid,
        singly=money(singly, rules.currency),
        discount=money(singly - price, rules.currency),
        price=money(price, rules.currency),
        outlets=tuple(_in_outlet(rules, terms, percent, retails, name) for name in rules.rules.sells_in),
        note=_note(terms, percent, singly, price, rules.unit),
    )
    return PricedSet(offer, prices)


def percent_off(terms: SetTerms, works: int) -> Decimal:
    """What is taken off a set of that many works, in percent; 0 below the first row."""
    return max((step.percent for step in terms.discounts if step.works <= works), default=ZERO)


def _price(rules: RuleSet, item: SetWork, before: Sequence[SetWork], pointer: str, on: date) -> Price | Reason:
    try:
        if any(item.id == other.id for other in before):
            raise Contradictory("A work of this id stands in the set already.", "/id", "Give each work its own id.")
        try:
            return price_work(rules, item.work, on)
        except Refusal as refusal:
            raise refusal.under("/work") from None
    except Refusal as refusal:
        return Reason(f"#{pointer}{refusal.pointer}", refusal.code, refusal.sentence)


def _row(rules: RuleSet, name: str, found: Price | Reason, part: Decimal | None = None) -> SetRow:
    if isinstance(found, Reason):
        return SetRow(name, reason=found)
    price = money(found.retail, rules.currency)
    if part is None:
        return SetRow(name, price)
    return SetRow(name, price, money(part, rules.currency), money(found.retail - part, rules.currency))


def _reduced(rules: RuleSet, terms: SetTerms, percent: Decimal, singly: Decimal, currency: str) -> Decimal:
    """The set's price: the sum less the discount, on the grid of its currency if the terms say so, never more than the sum."""
    reduced = singly - to_minor(singly * percent / HUNDRED, currency)
    if not terms.total_on_grid or not percent:
        return reduced
    rounding = rules.rounding(currency)
    rounded = to_grid(rounding, reduced)
    return rounded if rounded <= singly else at_or_below(rounding, singly) or singly


def _in_outlet(rules: RuleSet, terms: SetTerms, percent: Decimal, retails: Sequence[Decimal], name: str) -> SetOutlet:
    """The set as the outlet lists it: each work at its price there, the discount on their sum."""
    currency = rules.outlet_currency(name)
    singly = sum((listed_in(rules, name, retail) for retail in retails), ZERO)
    price = _reduced(rules, terms, percent, singly, currency)
    return SetOutlet(name, money(singly, currency), money(singly - price, currency), money(price, currency))


def _note(terms: SetTerms, percent: Decimal, singly: Decimal, price: Decimal, unit: Decimal) -> str:
    """Why nothing is taken off, or what the grid made of the discount."""
    if not percent:
        return f"Works are sold at a discount from {terms.discounts[0].works} together on."
    straight = singly - (singly * percent / HUNDRED).quantize(unit, ROUND_HALF_UP)
    return "" if price == straight else f"{figure(percent)} % off {figure(singly)} are {figure(straight)}, on the grid {figure(price)}."


def settle_set(rules: RuleSet, made: PricedSet) -> tuple[Settlement, ...]:
    """What the set leaves in each outlet, as one sale: one payment, and the costs and hours of all works together.

    Hours count only where every work has them.
    """
    terms = rules.rules.sets
    bearing = borne_by_member(rules) if terms is not None and terms.members_own else rules
    costs: dict[str, Decimal] = {}
    for price in made.prices:
        for name, cost in price.costs.items():
            costs[name] = costs.get(name, ZERO) + cost
    timed = [price.hours for price in made.prices if price.hours]
    hours = sum(timed, ZERO) if len(timed) == len(made.prices) else None
    return tuple(_settled(bearing, outlet, costs, hours) for outlet in made.offer.outlets)


@exact
def _settled(rules: RuleSet, outlet: SetOutlet, costs: dict[str, Decimal], hours: Decimal | None) -> Settlement:
    # With 50 digits the percentage gives back the discount to the minor unit.
    percent = outlet.discount.amount / outlet.singly.amount * HUNDRED
    return settle(rules, outlet.outlet, outlet.singly.amount, percent, costs, hours)


def borne_by_member(rules: RuleSet) -> RuleSet:
    """The rules with every discount the member's alone, as the terms of its sets say; the origin is theirs."""
    alone = Discount("split", HUNDRED)
    outlets = {name: replace(outlet, discount=alone) for name, outlet in rules.rules.outlets.items()}
    said = rules.origin("sets.members_own")
    origins = {path: origin for path, origin in rules.origins.items() if ".discount" not in path}
    origins |= {f"outlets.{name}.discount": Origin(f"outlets.{name}.discount", said.layer, said.since) for name in outlets}
    return RuleSet(
        rules.member, replace(rules.rules, outlets=outlets), origins, rules.digest, rules.effective_from, rules.effective_until,
        tried=rules.tried,
    )  # fmt: skip
