"""The price guide: what sizes of each medium ask, unframed and framed, and from when until when that holds.

Public data and nothing else: no costs, hours, commission or yield, nor a figure from which they follow. Knows no page: how
the guide looks (text, tables, pictures) is decided where it is sent.
"""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from msgspec import Struct, field

from evenhang.engine.formats import ShownSize, shown_size
from evenhang.engine.growth import anniversary, percent_of, years_passed
from evenhang.engine.money import Currency, Money, Ratio, exact, figure, money, numeral
from evenhang.engine.quote import Price, TaxKind, price_work
from evenhang.engine.refusals import Refusal, Unknown
from evenhang.engine.rules import Medium, RuleSet, TaxAdded
from evenhang.engine.sale import listed_in
from evenhang.engine.saying import Said, say
from evenhang.engine.schedules import Listed
from evenhang.engine.sizes import FORMATS, Measure, Size
from evenhang.engine.works import Work, WorkCost

AHEAD = 100  # years in which the next increase is looked for
NOTE = say("Plain works, without extras. Other sizes and whatever makes a work finer are priced on request, by the same rules.")
NO_SIZES = say("No sizes are shown for this medium: ask for the price of a work.")
BY_TIME = say("Priced by the time that it takes: ask for the price of a work.")


class GuideRow(Struct, frozen=True):
    """A size and what it asks. `format` and `size` are None for a medium priced by the piece; `framed` where no frame is priced."""

    format: str | None
    title: str
    size: ShownSize | None
    unframed: Money
    framed: Money | None


class GuideGap(Struct, frozen=True):
    """A size that the member shows and that has no price, and why; never silently skipped."""

    format: str
    code: str
    detail: str


class GuideMedium(Struct, frozen=True):
    """The prices of one medium, from the smallest size to the largest. `frame` is what framed means here; None without one."""

    medium: str
    title: str
    measure: Measure
    frame: str | None
    rows: tuple[GuideRow, ...]
    left_out: tuple[GuideGap, ...]
    note: str = ""


class Guide(Struct, frozen=True):
    """A member's public prices in one currency, valid from a day (inclusive) until another (exclusive; None: until further notice).

    `rate` is units of `currency` per one unit of the member's own, of the day `rate_on`; None in the member's own. The tax is the
    member's own, and in another currency that of the first outlet that sells in it.
    """

    title: str
    collective: str
    currency: Currency
    currencies: tuple[Currency, ...]
    rate: Ratio | None
    rate_on: date | None
    tax_kind: TaxKind
    tax_percent: Ratio
    outlets: tuple[str, ...]
    valid_from: date
    valid_until: date | None
    statement: str
    media: tuple[GuideMedium, ...]
    note: str = field(default_factory=lambda: NOTE)


@exact
def guide_of(rules: RuleSet, on: date, medium: str | None = None, currency: str | None = None) -> Guide:
    """The guide as it stands on the day `on`: of one medium or all, in the member's currency or another in which it sells.

    Unknown for a medium or a currency that the member does not have.
    """
    if medium is not None:
        rules.medium(medium)
    offered = currencies_of(rules)
    chosen = currency or rules.currency
    if chosen not in offered:
        raise Unknown.name("currency", chosen, offered, "/currency")
    abroad = None if chosen == rules.currency else rules.rules.fx[chosen]
    tax = rules.rules.tax if abroad is None else rules.outlet_tax(_outlet_in(rules, chosen))
    return Guide(
        title=rules.rules.title,
        collective=rules.rules.collective,
        currency=chosen,
        currencies=offered,
        rate=None if abroad is None else figure(abroad.rate),
        rate_on=None if abroad is None else abroad.on,
        tax_kind="added" if isinstance(tax, TaxAdded) else "included" if tax.percent else "none",
        tax_percent=figure(tax.percent),
        outlets=tuple(rules.rules.outlets[name].title for name in rules.rules.sells_in),
        valid_from=valid_from(rules, on),
        valid_until=valid_until(rules, on),
        statement=_parity(rules, chosen),
        media=tuple(_medium(rules, name, on, chosen) for name in rules.rules.media if medium in (None, name)),
    )


def currencies_of(rules: RuleSet) -> tuple[str, ...]:
    """The currencies in which the member sells, its own first."""
    return tuple(dict.fromkeys((rules.currency, *(rules.outlet_currency(name) for name in rules.rules.sells_in))))


def valid_from(rules: RuleSet, on: date) -> date:
    """The day since which the prices of `on` stand: the rule set's first, or the latest increase's if that is later."""
    increase = rules.rules.increase
    if increase is None:
        return rules.effective_from
    grown = (anniversary(increase.base_date, year) for year in years_passed(increase, on) if percent_of(increase, year))
    return max((rules.effective_from, *grown))


def valid_until(rules: RuleSet, on: date) -> date | None:
    """The first day after `on` on which the prices stand no more, as far as is known today: the next increase or the next rules."""
    ends = [rules.effective_until] if rules.effective_until is not None else []
    increase = rules.rules.increase
    if increase is not None:
        years = range(max(on.year, increase.base_date.year + 1), on.year + AHEAD)
        coming = (anniversary(increase.base_date, year) for year in years if percent_of(increase, year))
        ends += [day for day in coming if day > on][:1]
    return min(ends, default=None)


def _parity(rules: RuleSet, currency: str) -> Said:
    """The sentence that explains parity, and in another currency where its prices come from."""
    titles = [rules.rules.outlets[name].title for name in rules.rules.sells_in]
    words = say("A work has one price, the same wherever it is sold: {outlets}.", outlets="; ".join(titles))
    if currency == rules.currency:
        return words
    abroad = rules.rules.fx[currency]
    return say(
        "{parity} Prices in {there} are those in {here} x {rate}, the rate of {day}, rounded.",
        parity=words,
        there=currency,
        here=rules.currency,
        rate=numeral(abroad.rate),
        day=abroad.on,
    )


def _medium(rules: RuleSet, name: str, on: date, currency: str) -> GuideMedium:
    """The rows of one medium; a size that cannot be priced goes to `left_out`."""
    medium = rules.rules.media[name]
    frame = _frame(rules)
    found: list[tuple[Decimal, Decimal, GuideRow]] = []
    gaps = []
    for format_name in _formats(rules, name, medium):
        try:
            price = price_work(rules, Work(name, format=format_name), on)
        except Refusal as refusal:
            gaps.append(GuideGap(format_name or name, refusal.code, refusal.detail))
            continue
        size = _size(rules, format_name)
        framed = None if frame is None else _framed(rules, name, format_name, frame, on)
        row = GuideRow(
            format=format_name,
            title=_title(rules, medium, format_name),
            size=None if size is None else shown_size(size, rules.rules.length_unit),
            unframed=_in(rules, price.retail, currency),
            framed=None if framed is None else _in(rules, framed.retail, currency),
        )
        found.append((Decimal(price.measured), price.area_mm2 or Decimal(0), row))
    rows = tuple(row for *_, row in sorted(found, key=lambda entry: (*entry[:2], entry[2].unframed.amount, entry[2].title)))
    has_frame = any(row.framed is not None for row in rows)
    note = "" if rows else BY_TIME if medium.measure == "hours" else NO_SIZES
    return GuideMedium(
        name, medium.title, medium.measure, rules.rules.costs[frame].title if frame and has_frame else None, rows, tuple(gaps), note
    )


def _formats(rules: RuleSet, name: str, medium: Medium) -> Iterator[str | None]:
    """The names of the sizes to show: those listed, else the member's own, else the canvases from number 1 where they price the medium.

    None stands for a piece without a size.
    """
    if isinstance(medium.schedule, Listed):
        yield from medium.schedule.prices
        return
    if medium.measure == "hours":
        return
    if medium.measure == "piece":
        yield None
        return
    shown = [key for key, value in rules.rules.formats.items() if value.media is None or name in value.media]
    if not shown and medium.measure == "canvas":
        shown = [key for key, standard in FORMATS.items() if standard.canvas]
    yield from shown


def _size(rules: RuleSet, format_name: str | None) -> Size | None:
    """The size of a format of the member's or a standard one; None for a piece."""
    shown = rules.rules.formats.get(format_name or "")
    if shown is not None and shown.size is not None:
        return shown.size
    standard = FORMATS.get((shown.standard if shown else format_name) or "")
    return None if standard is None else standard.size


def _title(rules: RuleSet, medium: Medium, format_name: str | None) -> str:
    if format_name is None:
        return medium.title
    if format_name in rules.rules.formats:
        return rules.rules.formats[format_name].title
    return FORMATS[format_name].title if format_name in FORMATS else format_name


def _frame(rules: RuleSet) -> str | None:
    """The frame that the guide prices: the first that the rules estimate. One charged at a cost that is not shown would show it: none."""
    for name, cost in rules.rules.costs.items():
        if cost.frame and cost.estimate is not None and (cost.treatment != "at_cost" or cost.show_at_cost):
            return name
    return None


def _framed(rules: RuleSet, medium: str, format_name: str | None, frame: str, on: date) -> Price | None:
    """The price with its frame; None where the frame's rule does not fit the size."""
    try:
        return price_work(rules, Work(medium, format=format_name, costs=(WorkCost(frame),)), on)
    except Refusal:
        return None


def _in(rules: RuleSet, retail: Decimal, currency: str) -> Money:
    """The retail price in a currency of the member's, as it is listed in its outlets there."""
    if currency == rules.currency:
        return money(retail, currency)
    return money(listed_in(rules, _outlet_in(rules, currency), retail), currency)


def _outlet_in(rules: RuleSet, currency: str) -> str:
    """The first of the member's outlets that sells in `currency`."""
    return next(name for name in rules.rules.sells_in if rules.outlet_currency(name) == currency)
