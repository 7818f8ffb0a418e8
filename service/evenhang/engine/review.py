"""The yearly review: the old price list against the rules of a day, never lower than listed.

Knows nothing of who asks, and nothing of the rules that made the old list: it takes the listed prices as they are.
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from evenhang.engine.checks.catalogue import CatalogueWork
from evenhang.engine.edition import at_its_step
from evenhang.engine.money import HUNDRED, ZERO, Money, Ratio, exact, figure, money, to_minor
from evenhang.engine.quantiles import quantile
from evenhang.engine.quote import Price, price_work
from evenhang.engine.refusals import Contradictory, OutOfRange, Refusal
from evenhang.engine.rules import RuleSet
from evenhang.engine.sale import costs_in, listed_in, sell
from evenhang.engine.saying import reckon, say
from evenhang.engine.works import Work
from evenhang.engine.yields import Reason

State = Literal["for-sale", "reserved", "sold", "nfs"]
SHOWN = tuple(map(Decimal, (0, 5, 25, 50, 75, 95, 100)))
NOTES: dict[State, str] = {
    "for-sale": "",
    "reserved": say("Reserved: it stays at the price it was promised at, and counts as unsold."),
    "sold": say("Sold: it is in no figure."),
    "nfs": say("Not for sale: shown at what it would ask, in no sum but that of works kept back."),
}
HELD = say("Listed above the new rules: it stays at its price, a published price never falls.")


class ReviewRow(Struct, frozen=True):
    """One work: its listed price, what the new rules ask, and its new price, which is never lower than listed.

    `held` where the listed price is above that of the rules. A sold work has its old price alone; with refused data
    there is nothing but the reason.
    """

    id: str
    state: State
    old_price: Money | None = None
    rule_price: Money | None = None
    new_price: Money | None = None
    rise: Money | None = None
    rise_percent: Ratio | None = None
    held: bool = False
    note: str = ""
    reason: Reason | None = None


class RiseQuantile(Struct, frozen=True):
    """So many percent of the works for sale rise by at most so much."""

    percent: Ratio
    rise_percent: Ratio


class Rises(Struct, frozen=True):
    """How far the works for sale rise; `quantiles` (Hyndman and Fan, type 7) are empty where none is for sale."""

    works: int
    raised: int
    unchanged: int
    held: int
    quantiles: tuple[RiseQuantile, ...]


class StakeOutlet(Struct, frozen=True):
    """All unsold works sold in one outlet, at their old prices and at their new ones, in the member's currency."""

    outlet: str
    old_proceeds: Money
    new_proceeds: Money
    old_earnings: Money
    new_earnings: Money


class Stake(Struct, frozen=True):
    """The income at stake: all works for sale or reserved. `worst_outlet` is where their new earnings are least."""

    works: int
    old_total: Money
    new_total: Money
    outlets: tuple[StakeOutlet, ...]
    worst_outlet: str


class Listing(Struct, frozen=True):
    """A work of the list that has a price: as it was listed, what the rules ask, and the new price; in the member's currency.

    `price` is that of the work itself, `step` the factor of its number in an edition, and `asked` what it comes to with it.
    """

    id: str
    state: State
    work: Work
    price: Price
    step: Decimal
    asked: Decimal
    old: Decimal
    new: Decimal

    @property
    def unsold(self) -> bool:
        return self.state in ("for-sale", "reserved")


class NewList(Struct, frozen=True):
    """A row for each work in the order in which it came, and the works behind the rows that are priced."""

    rows: tuple[ReviewRow, ...]
    listings: tuple[Listing, ...]


@exact
def review_list(rules: RuleSet, works: Sequence[CatalogueWork], on: date) -> NewList:
    """The old list against the rules, on the day `on`. One bad work never sinks the rest."""
    rows: list[ReviewRow] = []
    listings: list[Listing] = []
    seen: set[str] = set()
    for i, item in enumerate(works):
        try:
            row, listing = _row(rules, item, seen, on)
        except Refusal as refusal:
            row, listing = (
                ReviewRow(item.id, item.state, reason=Reason(f"#/works/{i}{refusal.pointer}", refusal.code, refusal.sentence)),
                None,
            )
        rows.append(row)
        listings += [listing] if listing else []
        seen.add(item.id)
    return NewList(tuple(rows), tuple(listings))


def _row(rules: RuleSet, item: CatalogueWork, seen: set[str], on: date) -> tuple[ReviewRow, Listing | None]:
    if item.id in seen:
        detail = say("A work of this id stands further up already; it is counted once.")
        raise Contradictory(detail, "/id", say("Give each work its own id."))
    old = item.price.in_currency(rules.currency, "/price")
    if old == 0:
        raise OutOfRange(say("A listed price is over 0."), "/price/amount")
    if item.state == "sold":
        return ReviewRow(item.id, item.state, money(old, rules.currency), note=NOTES["sold"]), None
    try:
        price = price_work(rules, item.work, on)
    except Refusal as refusal:
        raise refusal.under("/work") from None
    asked, step = at_its_step(rules, price, item.work.medium, item.edition)
    new = old if item.state == "reserved" else max(old, asked)
    held = item.state != "reserved" and old > asked
    row = ReviewRow(
        id=item.id,
        state=item.state,
        old_price=money(old, rules.currency),
        rule_price=money(asked, rules.currency),
        new_price=money(new, rules.currency),
        rise=money(new - old, rules.currency),
        rise_percent=figure((new - old) / old * HUNDRED, 4),
        held=held,
        note=_note(item.state, held=held),
    )
    return row, Listing(item.id, item.state, item.work, price, step, asked, old, new)


def _note(state: State, *, held: bool) -> str:
    """What the row's figures do not say themselves."""
    note = NOTES[state]
    return reckon("{note} {held}", note=note, held=HELD) if note and held else HELD if held else note


@exact
def rises_of(listings: Sequence[Listing]) -> Rises:
    """How far the works for sale rise."""
    selling = [one for one in listings if one.state == "for-sale"]
    rises = sorted((one.new - one.old) / one.old * HUNDRED for one in selling)
    raised = sum(rise > 0 for rise in rises)
    quantiles = tuple(RiseQuantile(figure(p), figure(quantile(rises, p), 4)) for p in SHOWN) if rises else ()
    held = sum(one.old > one.asked for one in selling)
    return Rises(len(rises), raised, len(rises) - raised, held, quantiles)


@exact
def stake_of(rules: RuleSet, listings: Sequence[Listing]) -> Stake:
    """The income at stake in each outlet; each sale's figures are written in the member's currency before they are summed."""
    unsold = [one for one in listings if one.unsold]
    outlets = tuple(_stake_in(rules, name, unsold) for name in rules.rules.sells_in)
    return Stake(
        works=len(unsold),
        old_total=money(sum((one.old for one in unsold), ZERO), rules.currency),
        new_total=money(sum((one.new for one in unsold), ZERO), rules.currency),
        outlets=outlets,
        worst_outlet=min(outlets, key=lambda outlet: outlet.new_earnings.amount).outlet,
    )


def _stake_in(rules: RuleSet, name: str, unsold: Sequence[Listing]) -> StakeOutlet:
    rate = rules.rate(rules.outlet_currency(name))
    sums = [ZERO] * 4
    for one in unsold:
        own = costs_in(rules, one.price.costs, name)
        for i, asked in enumerate((one.old, one.new)):
            proceeds = sell(rules, name, listed_in(rules, name, asked), ZERO, own.frame).proceeds
            sums[i] += to_minor(proceeds / rate, rules.currency)
            sums[i + 2] += to_minor((proceeds - own.total) / rate, rules.currency)
    return StakeOutlet(name, *(money(amount, rules.currency) for amount in sums))
