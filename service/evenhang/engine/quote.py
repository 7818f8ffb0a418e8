"""The price of one work: the steps in their order, each a line with the rule that made it.

Knows nothing of who asks: the edge shows the public view or the member's own.
"""

from datetime import date
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from evenhang.engine.charges import charge_for
from evenhang.engine.growth import growth, growth_words
from evenhang.engine.money import HUNDRED, ONE, ZERO, Money, Ratio, exact, figure, in_percent, money, numeral, shown
from evenhang.engine.refusals import Missing, OutOfRange, TooDear, Unknown
from evenhang.engine.rounding import to_grid
from evenhang.engine.rules import FixedExtra, Medium, Origin, RuleSet, TaxAdded, schedule_per
from evenhang.engine.sale import listed_in, tax_in
from evenhang.engine.saying import reckon, say
from evenhang.engine.schedules import Listed, price_at, working
from evenhang.engine.settlement import Settlement, settle
from evenhang.engine.sizes import FORMATS, MOST_HOURS, Measure, Sides, Size, in_mm, measure_sides, per_unit, rounded_sides
from evenhang.engine.works import Work, check_said_once

MOST = Decimal(10) ** 12  # amounts of more than twelve digits are slips of rules, units or days, and no caller could send them back
TaxKind = Literal["none", "included", "added"]


class Line(Struct, frozen=True):
    """One line of a breakdown: what it is, how much, the rule that made it, and the sum in words."""

    code: str
    label: str
    amount: Money
    rule: Origin
    working: str


class Price(Struct, frozen=True):
    """A priced work: lines that sum to the retail price, and what was measured on the way.

    `art` is lines 1 to 5; `costs` the work's own costs by name, in the member's currency.
    """

    lines: tuple[Line, ...]
    retail: Decimal
    art: Decimal
    measure: Measure
    measured: Ratio
    per: str
    area_mm2: Decimal | None
    costs: dict[str, Decimal]
    hours: Decimal | None


class OutletPrice(Struct, frozen=True):
    """The same price in an outlet, in its currency, and how far from exact parity rounding leaves it."""

    outlet: str
    price: Money
    off_parity_percent: Ratio
    price_display: str


def panels_of(rules: RuleSet, work: Work) -> tuple[list[Sides], list[str]]:
    """The panels of a work in mm with the pointers to each; empty where no size is said."""
    if work.format is not None:
        shown = rules.rules.formats.get(work.format)
        size: Size | None = shown.size if shown else None
        name = (shown.standard if shown else work.format) or ""
        if size is None:
            if name not in FORMATS:
                raise Unknown.name("format", work.format, rules.rules.formats, "/format")
            size = FORMATS[name].size
        return [rounded_sides(in_mm(size, "/format"), work.shape, "/format")], ["/format"]
    if work.panels is not None:
        pointers = [f"/panels/{i}" for i in range(len(work.panels))]
        return [rounded_sides(in_mm(s, p), work.shape, p) for s, p in zip(work.panels, pointers, strict=True)], pointers
    if work.size is not None:
        return [rounded_sides(in_mm(work.size, "/size"), work.shape, "/size")], ["/size"]
    return [], []


def measure_work(rules: RuleSet, work: Work, medium: Medium, measure: Measure) -> Decimal:
    """The measure of a work in mm, mm2, mm3, hours, pieces or canvas points. Missing without the size or hours it needs."""
    if measure == "hours":
        if not work.hours:
            raise Missing(say("This medium is priced by time, and the work has no hours."), "/hours", say("Add the hours."))
        if work.hours > MOST_HOURS:
            raise OutOfRange(say("{hours} hours are more than a lifetime's.", hours=numeral(work.hours)), "/hours")
        return work.hours
    panels, pointers = panels_of(rules, work)
    if measure == "piece":
        return Decimal(max(1, len(panels)))
    if measure == "canvas" and work.format is not None:
        shown = rules.rules.formats.get(work.format)
        standard = FORMATS.get((shown.standard if shown else work.format) or "")
        if standard is not None and standard.canvas is not None:
            return Decimal(standard.canvas)
    if not panels:
        raise Missing(say("This medium is priced by size, and the work has none."), "/size", say('Give "size", "panels" or "format".'))
    curved = work.shape != "rectangle" and medium.round_as == "true-area"
    return measure_sides(measure, panels, pointers, true_curve=curved)


@exact
def price_work(rules: RuleSet, work: Work, on: date, uplift_percent: Decimal = ZERO) -> Price:
    """The retail price of `work` on the day `on`, line by line. Refusals point into the work.

    `uplift_percent` is that of a work made to order: on lines 1 to 4, so that percentage extras count it too.
    """
    check_said_once(work)
    medium = rules.medium(work.medium)
    path = f"media.{work.medium}"
    lines: list[Line] = []
    currency = rules.currency

    def add(code: str, label: str, amount: Decimal, rule: str, words: str) -> Decimal:
        if abs(amount) >= MOST:
            raise TooDear(say("The price of this work has more than twelve digits."), "", say("Are the unit and the day right?"))
        written = money(amount, currency)
        lines.append(Line(code, label, written, rules.origin(rule), words))
        return written.amount

    art, measured, per = _size_line(rules, work, medium, path, add)
    if work.grade is not None:
        grade = rules.rules.grades.get(work.grade)
        if grade is None:
            raise Unknown.name("grade", work.grade, rules.rules.grades, "/grade")
        if grade.factor != ONE:
            words = reckon("{art} x ({factor} - 1)", art=numeral(art), factor=numeral(grade.factor))
            art += add("grade", grade.title, art * (grade.factor - ONE), f"grades.{work.grade}.factor", words)
    grown = growth(rules.rules.increase, on)
    if grown >= MOST:
        raise OutOfRange(say("By {day} prices would have grown beyond twelve digits.", day=on), "", say("Ask as of an earlier day."))
    if rules.rules.increase is not None and grown != ONE:
        words = reckon("{art} x ({growth} - 1)", art=numeral(art), growth=growth_words(rules.rules.increase, on))
        art += add("increase", say("Yearly increase"), art * (grown - ONE), "increase", words)
    if medium.minimum is not None and art < medium.minimum:
        words = reckon("{minimum} - {art}", minimum=numeral(medium.minimum), art=numeral(art))
        art += add("minimum", say("Up to the minimum"), medium.minimum - art, f"{path}.minimum", words)
    if uplift_percent:
        words = say("{percent} of {whole}", percent=in_percent(uplift_percent), whole=numeral(art))
        art += add("uplift", say("Made to order"), art * uplift_percent / HUNDRED, "bespoke.uplift_percent", words)
    art += _extra_lines(rules, work, art, grown, add)
    costs, charged = _cost_lines(rules, work, medium, add)
    exact_price = art + charged
    retail = to_grid(rules.rounding(currency), exact_price)
    if retail != exact_price:
        words = say("{exact} to {rounded}", exact=numeral(exact_price), rounded=numeral(retail))
        add("rounding", say("Rounding"), retail - exact_price, "rounding", words)
    panels, pointers = panels_of(rules, work)
    curved = work.shape != "rectangle" and medium.round_as == "true-area"
    area = measure_sides("area", panels, pointers, true_curve=curved) if panels and all(p.width for p in panels) else None
    return Price(tuple(lines), retail, art, medium.measure, figure(measured, 6), per, area, costs, work.hours)


def _size_line(rules: RuleSet, work: Work, medium: Medium, path: str, add) -> tuple[Decimal, Decimal, str]:  # type: ignore[no-untyped-def]  # the one closure above
    """The first line: what the schedule says of the measure."""
    schedule = medium.schedule
    if isinstance(schedule, Listed):
        if work.format is None or work.format not in schedule.prices:
            raise Unknown.name("listed format", work.format or say("(none given)"), schedule.prices, "/format")
        label = reckon("{title}, {size}", title=medium.title, size=work.format)
        return add("size", label, schedule.prices[work.format], f"{path}.schedule", say("listed")), ONE, "piece"
    per = schedule_per(schedule, medium.measure)
    total = measure_work(rules, work, medium, medium.measure)
    m = total if medium.measure in ("hours", "piece", "canvas") else per_unit(total, per)
    curve = rules.curves[work.medium]
    try:
        amount = price_at(curve, m)
    except OutOfRange as refusal:
        raise refusal.under("/format" if work.format else "/size") from None
    size = work.size.text() if work.size else work.format
    label = reckon("{title}, {size}", title=medium.title, size=size) if size else reckon("{title}", title=medium.title)
    return add("size", label, amount, f"{path}.schedule", working(curve, m, per)), m, per


def _extra_lines(rules: RuleSet, work: Work, art: Decimal, grown: Decimal, add) -> Decimal:  # type: ignore[no-untyped-def]  # as above
    """What the extras add to `art`, each percentage of it alone; fixed ones have `grown` with the yearly increase."""
    added = ZERO
    for i, chosen in enumerate(work.extras):
        extra = rules.rules.extras.get(chosen.name)
        if extra is None:
            raise Unknown.name("extra", chosen.name, rules.rules.extras, f"/extras/{i}/name")
        if isinstance(extra, FixedExtra):
            amount = extra.amount * grown * chosen.quantity
            words = reckon("{n} {unit} x {amount}", n=chosen.quantity, unit=extra.unit, amount=numeral(extra.amount))
            words = reckon("{sum} x {grown}", sum=words, grown=numeral(grown)) if grown != ONE else words
        else:
            amount = art * extra.percent / HUNDRED * chosen.quantity
            part = say("{percent} of {whole}", percent=in_percent(extra.percent), whole=numeral(art))
            words = reckon("{n} {unit} x {part}", n=chosen.quantity, unit=extra.unit, part=part)
        added += add(f"extra:{chosen.name}", extra.title, amount, f"extras.{chosen.name}", words)
    return added


def _cost_lines(rules: RuleSet, work: Work, medium: Medium, add) -> tuple[dict[str, Decimal], Decimal]:  # type: ignore[no-untyped-def]  # as above
    """The work's own costs by name, and what is charged for them in the price."""
    costs: dict[str, Decimal] = {}
    charged = ZERO
    for i, item in enumerate(work.costs):
        rule = rules.rules.costs.get(item.name)
        if rule is None:
            raise Unknown.name("cost", item.name, rules.rules.costs, f"/costs/{i}/name")
        if item.amount is not None:
            cost = item.amount.in_currency(rules.currency, f"/costs/{i}/amount")
        elif rule.estimate is not None:
            m = measure_work(rules, work, medium, rule.estimate.measure)
            if rule.estimate.measure not in ("hours", "piece", "canvas"):
                m = per_unit(m, schedule_per(rule.estimate.schedule, rule.estimate.measure))
            cost = money(price_at(rules.estimates[item.name], m), rules.currency).amount
        else:
            raise Missing(say('The rules do not estimate "{cost}".', cost=item.name), f"/costs/{i}/amount", say("State its amount."))
        costs[item.name] = cost
        if rule.treatment != "absorbed":
            amount, words = charge_for(rules, item.name, cost)
            charged += add(f"cost:{item.name}", rule.title, amount, f"costs.{item.name}.treatment", words)
    return costs, charged


@exact
def outlet_prices(rules: RuleSet, retail: Decimal) -> tuple[OutletPrice, ...]:
    """The one price in every outlet of the member's, in that outlet's currency (parity)."""
    out = []
    for name in rules.rules.sells_in:
        currency = rules.outlet_currency(name)
        straight = retail * rules.rate(currency)
        here = listed_in(rules, name, retail)
        price = money(here, currency)
        out.append(OutletPrice(name, price, figure((here / straight - 1) * HUNDRED, 4), shown(price)))
    return tuple(out)


def settle_everywhere(rules: RuleSet, price: Price) -> tuple[Settlement, ...]:
    """What the price leaves in each of the member's outlets, without discount."""
    prices = outlet_prices(rules, price.retail)
    return tuple(settle(rules, p.outlet, p.price.amount, ZERO, price.costs, price.hours) for p in prices)


@exact
def tax_of(rules: RuleSet, retail: Decimal) -> tuple[TaxKind, Money]:
    """Whether the member's tax is none, included or added, and how much it is at that price."""
    tax = rules.rules.tax
    kind: TaxKind = "added" if isinstance(tax, TaxAdded) else "included" if tax.percent else "none"
    return kind, money(tax_in(tax, retail), rules.currency)
