"""What a rule set may say, but hardly means: warnings, which are shown and stop nothing.

Knows one checked rule set; no file but by its origins.
"""

from collections.abc import Iterator
from decimal import Decimal

from evenhang.engine.money import HUNDRED, ONE, ZERO, exact, figure, minor_unit
from evenhang.engine.rounding import to_grid
from evenhang.engine.rules import Commission, Medium, Outlet, RuleSet, schedule_per
from evenhang.engine.sale import listed_in
from evenhang.engine.schedules import Bend, Curve, Line, Listed, price_at
from evenhang.engine.settlement import marginal_share
from evenhang.engine.sizes import DIMENSION, FORMATS, PER, Measure, per_unit
from evenhang.rulebook.layers import Fault
from evenhang.rulebook.wrong_schedules import format_measure

FAR_FROM_PARITY = Decimal("2.5")  # percent; our own measure, no source
Row = tuple[str, str]


@exact
def warned(rules: RuleSet) -> tuple[Fault, ...]:
    """Every warning about a rule set, with the file that set the value."""
    rows = [*_about_media(rules), *_about_outlets(rules), *_about_costs(rules), *_about_formats(rules), *_about_days(rules)]
    return tuple(Fault(rules.origin(key.partition("[")[0]).layer, key, reason, warning=True) for key, reason in rows)


def sizes_of(rules: RuleSet, name: str, medium: Medium) -> dict[str, Decimal]:
    """Measures at which to try a medium, by what to call them: its shown formats, or where its schedule's pieces begin."""
    per = schedule_per(medium.schedule, medium.measure)
    shown = {
        f.title: format_measure(key, rules.rules.formats, medium.measure)
        for key, f in rules.rules.formats.items()
        if name in (f.media or (name,))
    }
    scale = (lambda m: m) if medium.measure == "canvas" else (lambda m: per_unit(m, per))
    out = {title: scale(m) for title, m in shown.items() if m}
    if not out:
        edges = [piece.start for piece in rules.curves[name] if piece.start > 0]
        if isinstance(piece := (rules.curves[name] or (None,))[0], Bend):
            edges.append(piece.measure)
        out = {f"{figure(m, 6)} {per}": m for m in sorted(set(edges))}
    return out


def _about_media(rules: RuleSet) -> Iterator[Row]:
    for name, medium in rules.rules.media.items():
        at = f"media.{name}"
        if isinstance(medium.schedule, Listed):
            yield from _about_list(rules, medium, f"{at}.schedule")
        elif where := _rises(rules.curves[name], medium.measure):
            yield f"{at}.schedule", f"the unit rate rises with size {where}: common practice is that it falls a little"
        yield from _about_target(rules, name, medium, f"{at}.hours")


def _rises(curve: Curve, measure: Measure) -> str | None:
    """Where the price per unit rises with the measure; None where it never does, or where a length or a count is priced."""
    if DIMENSION[measure] not in ("area", "volume", "canvas"):
        return None
    for before, piece in zip(curve, curve[1:]):
        if piece.at(piece.start) > before.at(piece.start) * (1 + Decimal("1e-20")):
            return f"at {figure(piece.start, 6)}"
    for piece in curve:
        if piece.exponent > 1 if isinstance(piece, Bend) else _pulls_up(piece):
            return f"from {figure(piece.start, 6)} on" if piece.start else "from the smallest on"
    return None


def _pulls_up(line: Line) -> bool:
    """A straight line that would cut the price axis below 0 gains on its own unit rate."""
    return line.base - line.rate * line.start < 0


def _about_list(rules: RuleSet, medium: Medium, at: str) -> Iterator[Row]:
    schedule = medium.schedule
    if not isinstance(schedule, Listed):
        return
    grid = rules.rounding(rules.currency)
    seen: dict[Decimal, str] = {}
    for name, price in sorted(schedule.prices.items()):
        if price % minor_unit(rules.currency):
            yield f"{at}.prices.{name}", f"{figure(price)} has more digits after the point than {rules.currency}"
        elif to_grid(grid, price) != price:
            yield f"{at}.prices.{name}", f"{figure(price)} is not on the rounding grid: it is asked as {figure(to_grid(grid, price))}"
        m = format_measure(name, rules.rules.formats, medium.measure)
        if m is not None and schedule.prices[seen.setdefault(m, name)] != price:
            yield f"{at}.prices.{name}", f"as large as {seen[m]}, at another price"


def _about_target(rules: RuleSet, name: str, medium: Medium, at: str) -> Iterator[Row]:
    """Sizes at which the stated hours do not bring the target in the worst outlet, costs and fixed fees left out."""
    earning = rules.rules.earning
    if medium.hours is None or earning is None:
        return
    worst = min(rules.rules.sells_in, key=lambda outlet: marginal_share(rules, outlet)[0])
    share = marginal_share(rules, worst)[0]
    missed: list[str] = []
    listed = medium.schedule.prices if isinstance(medium.schedule, Listed) else {}
    sizes = _listed_sizes(rules, medium) or sizes_of(rules, name, medium) or _ends(medium)
    for title, m in sizes.items():
        price = max(listed[title] if listed else price_at(rules.curves[name], m), medium.minimum or ZERO)
        hours = medium.hours.base + medium.hours.rate * (m if listed else _in_hours_unit(medium, m))
        if hours > 0 and price * share / hours < earning.hourly_target:
            missed.append(f"{title} leaves {figure(price * share / hours, 2)} an hour")
    if missed and len(missed) == len(sizes):
        yield at, f"the target of {figure(earning.hourly_target)} is met at none of its sizes in {worst}: {missed[0]}"


def _ends(medium: Medium) -> dict[str, Decimal]:
    """A flat rate has no edges: what it leaves an hour lies between that of the smallest works and that of the largest."""
    per = schedule_per(medium.schedule, medium.measure)
    return {f"{figure(m, 6)} {per}": m for m in (ONE, Decimal(10) ** 6)}


def _listed_sizes(rules: RuleSet, medium: Medium) -> dict[str, Decimal]:
    """The measures of listed formats as the stated hours count them; empty for other schedules."""
    if not isinstance(medium.schedule, Listed) or medium.hours is None:
        return {}
    found = {name: format_measure(name, rules.rules.formats, medium.measure) for name in medium.schedule.prices}
    per = schedule_per(medium.hours, medium.measure)
    return {name: m if medium.measure == "canvas" else per_unit(m, per) for name, m in found.items() if m is not None}


def _in_hours_unit(medium: Medium, m: Decimal) -> Decimal:
    """A measure counted as the stated hours count it, where schedule and hours use different units."""
    if medium.hours is None or medium.measure in ("piece", "canvas", "hours"):
        return m
    mine, theirs = schedule_per(medium.schedule, medium.measure), schedule_per(medium.hours, medium.measure)
    return m * PER[mine][1] / PER[theirs][1]


def _about_outlets(rules: RuleSet) -> Iterator[Row]:
    for name in rules.rules.sells_in:
        outlet = rules.rules.outlets[name]
        yield from _without_effect(outlet, f"outlets.{name}")
        currency = rules.outlet_currency(name)
        if currency != rules.currency:
            off, price = _furthest(rules, name)
            if off > FAR_FROM_PARITY:
                reason = (
                    f"rounding takes its prices up to {figure(off, 1)} % from parity (at {figure(price)} {rules.currency}): use finer steps"
                )
                yield (f"fx.{currency}.rounding" if rules.rules.fx[currency].rounding else f"fx.{currency}"), reason


def _furthest(rules: RuleSet, outlet: str) -> tuple[Decimal, Decimal]:
    """How far, in percent, the outlet's rounding takes the member's prices from parity at most, and at which price."""
    rate = rules.rate(rules.outlet_currency(outlet))
    worst = ZERO, ZERO
    for name, medium in rules.rules.media.items():
        if isinstance(medium.schedule, Listed):
            prices = list(medium.schedule.prices.values())
        else:
            prices = [price_at(rules.curves[name], m) for m in sizes_of(rules, name, medium).values()]
        for price in [*prices, medium.minimum or ZERO]:
            if price > 0:
                retail = to_grid(rules.rounding(rules.currency), max(price, medium.minimum or ZERO))
                off = abs(listed_in(rules, outlet, retail) / (retail * rate) - 1) * HUNDRED
                worst = max(worst, (off, retail))
    return worst


def _without_effect(outlet: Outlet, at: str) -> Iterator[Row]:
    if not isinstance(outlet.terms, Commission):
        for name, given in (("frame_first", outlet.frame_first), ("tax_on_commission", outlet.tax_on_commission)):
            if given:
                yield f"{at}.{name}", "has no effect: this outlet takes no commission"
        if outlet.payment_fee is not None and outlet.payment_fee.borne_by != "outlet":
            yield f"{at}.payment_fee.borne_by", "has no effect: an outlet with a mark-up or a purchase bears its own fee"
    elif outlet.discount.share == "both" and outlet.discount.member_percent != HUNDRED:
        yield f"{at}.discount.member_percent", 'has no effect: under share = "both" each gives up the same percentage'


def _about_costs(rules: RuleSet) -> Iterator[Row]:
    frames = [name for name, cost in rules.rules.costs.items() if cost.frame]
    for name in frames[1:]:
        yield f"costs.{name}.frame", f"{frames[0]} is the frame already: both leave the base of outlets with frame_first"


def _about_formats(rules: RuleSet) -> Iterator[Row]:
    for name, shown in rules.rules.formats.items():
        if shown.size is not None and name in FORMATS:
            yield f"formats.{name}", f"has the name of the standard format {FORMATS[name].title} and hides it"
        elif shown.standard is not None and name in FORMATS and shown.standard != name:
            yield f"formats.{name}.standard", f"the format called {name} is {shown.standard}"
        for i, medium in enumerate(shown.media or ()):
            of = rules.rules.media[medium]
            if isinstance(of.schedule, Listed):
                if name not in of.schedule.prices:
                    yield f"formats.{name}.media[{i}]", f"{medium} has listed prices, and none for this format"
            elif of.measure not in ("hours", "piece") and format_measure(name, rules.rules.formats, of.measure) is None:
                yield f"formats.{name}.media[{i}]", f"{medium} is priced by {of.measure}, which this format does not have"


def _about_days(rules: RuleSet) -> Iterator[Row]:
    for code, rate in rules.rules.fx.items():
        if rate.on > rules.effective_from:
            yield f"fx.{code}.on", f"the rate is of a later day than the rules, {rules.effective_from}, that use it"
    increase = rules.rules.increase
    for year in increase.exceptions if increase else ():
        if increase and int(year) <= increase.base_date.year:
            yield (
                f"increase.exceptions.{year}",
                f"has no effect: rates are those of {increase.base_date}, the first increase comes a year later",
            )
