"""A catalogue's works read against the rules: what each asks, what its rules ask, and the art part that is compared.

Knows nothing of findings. A work that the rules decline raises a Refusal and sinks nobody else.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal

from msgspec import Struct, structs

from evenhang.engine.checks.catalogue import CatalogueWork
from evenhang.engine.checks.slack import Grid, grid_of, slack_at
from evenhang.engine.edition import at_its_step
from evenhang.engine.growth import growth
from evenhang.engine.money import ONE, ZERO
from evenhang.engine.quote import Price, measure_work, price_work
from evenhang.engine.refusals import Contradictory, Missing, NotInForce, OutOfRange, Refusal
from evenhang.engine.rules import RuleSet
from evenhang.engine.saying import say
from evenhang.engine.schedules import Listed
from evenhang.engine.works import Work

RulesOn = Callable[[date], RuleSet]


class RulePrice(Struct, frozen=True):
    """What the rules of a day ask for a work: retail, its art part with its edition's step in it, and what is charged for costs."""

    retail: Decimal
    art: Decimal
    charged: Decimal
    step: Decimal = ONE


class Entry(Struct, frozen=True):
    """A work as it is compared, in the member's currency.

    `key` is its place in the order (its measure, in mm, mm2, mm3, hours, pieces or points); `art` the listed price less the
    charged costs; `costed` whether any were taken off; `slack` how far rounding can have carried the price. `apart` is the format
    where prices are listed by formats whose measure says nothing of their size; `later_step` whether it is, or may be, a number that
    asks more than the first of its edition.
    """

    item: CatalogueWork
    at: int
    listed: Decimal
    key: Decimal
    apart: str
    later_step: bool
    art: Decimal
    costed: bool
    slack: Decimal
    now: RulePrice
    then: RulePrice | Refusal
    area_mm2: Decimal | None
    costs: dict[str, Decimal]
    hours: Decimal | None

    @property
    def id(self) -> str:
        return self.item.id

    @property
    def charged(self) -> Decimal:
        return self.listed - self.art


def threshold(a: Entry, b: Entry) -> Decimal:
    """Beyond which a difference of two art parts counts: the larger slack where costs were taken off either, else 0."""
    return max(a.slack, b.slack) if a.costed or b.costed else ZERO


def read_entry(rules: RuleSet, rules_on: RulesOn, grid: Grid, item: CatalogueWork, at: int, on: date) -> Entry:
    """The work read by the rules of the day `on` and of the day it was listed. Refusals point into the item."""
    day = item.listed_on or on
    if day > on:
        raise Contradictory(say("On {day} this price was not listed yet.", day=on), "/listed_on", say("Ask as of a later day."))
    listed = item.price.in_currency(rules.currency, "/price")
    if listed == 0:
        raise OutOfRange(say("A listed price is over 0."), "/price/amount")
    try:
        price = price_work(rules, item.work, on)
        key, apart = _place(rules, item.work)
    except Refusal as refusal:
        raise refusal.under("/work") from None
    try:
        now: RulePrice = _rule_price(rules, item, price)
        then: RulePrice | Refusal = now if day == on else _rule_price_then(rules, rules_on, item, day, on, now)
        later = now.step != ONE
    except Missing as refusal:  # which step of its edition it falls into nobody can tell
        now, then = RulePrice(price.retail, price.art, _charged(price)), refusal
        later = True
    charged = now.charged if isinstance(then, Refusal) else then.charged
    return Entry(
        item=item,
        at=at,
        listed=listed,
        key=key,
        apart=apart,
        later_step=later,
        art=listed - charged,
        costed=charged != 0,
        slack=slack_at(grid, listed),
        now=now,
        then=then,
        area_mm2=price.area_mm2,
        costs=price.costs,
        hours=price.hours or None,
    )


def _place(rules: RuleSet, work: Work) -> tuple[Decimal, str]:
    """Its place in the order, and the format that alone tells it apart. A listed price is that of its format, whatever the shape."""
    medium = rules.medium(work.medium)
    if not isinstance(medium.schedule, Listed):
        return measure_work(rules, work, medium, medium.measure), ""
    key = measure_work(rules, structs.replace(work, shape="rectangle"), medium, medium.measure)
    return key, (work.format or "") if medium.measure in ("piece", "hours") else ""


def relisted(entry: Entry, listed: Decimal, grid: Grid) -> Entry:
    """The same work at another price."""
    return structs.replace(entry, listed=listed, art=listed - entry.charged, slack=slack_at(grid, listed))


def grid_of_rules(rules: RuleSet) -> Grid:
    """The grid of the member's own currency."""
    return grid_of(rules.rounding(rules.currency))


def _charged(price: Price) -> Decimal:
    return sum((line.amount.amount for line in price.lines if line.code.startswith("cost:")), ZERO)


def _rule_price(rules: RuleSet, item: CatalogueWork, price: Price) -> RulePrice:
    """What the rules ask for the work, at the step of its edition where it has a number. Refusals point into the item."""
    retail, factor = at_its_step(rules, price, item.work.medium, item.edition)
    return RulePrice(retail, price.art * factor, _charged(price), factor)


def _rule_price_then(rules: RuleSet, rules_on: RulesOn, item: CatalogueWork, day: date, on: date, now: RulePrice) -> RulePrice | Refusal:
    """What the rules of the day it was listed asked; the Refusal where they cannot tell."""
    try:
        then = rules_on(day)
    except NotInForce as refusal:
        return NotInForce(refusal.detail, "/listed_on", refusal.cure)
    if then.digest == rules.digest and growth(then.rules.increase, day) == growth(rules.rules.increase, on):
        return now
    if then.currency != rules.currency:
        detail = say("On that day the member's currency was {then}, now it is {now}.", then=then.currency, now=rules.currency)
        return Contradictory(detail, "/listed_on", say("Compare prices of one currency."))
    try:
        price = price_work(then, item.work, day)
    except Refusal as refusal:
        return refusal.under("/work")
    try:
        return _rule_price(then, item, price)
    except Refusal as refusal:
        return refusal


def alike(entry: Entry) -> tuple[object, ...]:
    """What comparable works share: medium, grade and extras, and their format where that alone tells sizes apart."""
    work = entry.item.work
    return work.medium, work.grade, tuple(sorted((extra.name, extra.quantity) for extra in work.extras)), entry.apart


def groups_of(entries: Iterable[Entry]) -> Mapping[tuple[object, ...], list[Entry]]:
    """Comparable works, not sold, in the catalogue's order."""
    out: dict[tuple[object, ...], list[Entry]] = defaultdict(list)
    for entry in entries:
        if entry.item.state != "sold":
            out[alike(entry)].append(entry)
    return out


def one_of_each_edition(entries: Sequence[Entry]) -> list[Entry]:
    """The works, an edition by its lowest number alone: the others are compared with it by their own finding.

    Where that one asks for a later step, its size does not say what it should ask, and the edition is left out.
    """
    lowest: dict[str, Entry] = {}
    for entry in entries:
        edition = entry.item.edition
        if edition is not None and (edition.name not in lowest or edition.number < _number(lowest[edition.name].item)):
            lowest[edition.name] = entry

    def stands_for_itself(entry: Entry) -> bool:
        return entry.item.edition is None or (lowest[entry.item.edition.name] is entry and not entry.later_step)

    return [entry for entry in entries if stands_for_itself(entry)]


def _number(item: CatalogueWork) -> int:
    return item.edition.number if item.edition else 0
