"""What a rule set cannot say: everything that would make a price wrong, impossible or out of order.

Knows the rules as one whole; no file and no day. Rows are (exact key, reason).
"""

import re
import zoneinfo
from collections.abc import Iterator
from functools import cache
from typing import Any

from evenhang.engine.money import EXACT, HUNDRED, MINOR_DIGITS, figure, minor_unit
from evenhang.engine.refusals import Refusal
from evenhang.engine.rounding import on_grid
from evenhang.engine.rules import Cost, Medium, Rounding, Rules, ShownFormat
from evenhang.engine.schedules import Flat, Listed
from evenhang.engine.sizes import FORMATS, in_mm
from evenhang.rulebook.wrong_outlets import NO_CODE, wrong_outlets
from evenhang.rulebook.wrong_schedules import wrong_bands, wrong_list, wrong_schedule
from evenhang.rulebook.wrong_terms import wrong_terms

Row = tuple[str, str]
OLDEST = 1900
_YEAR = re.compile("[0-9]{4}")
_TAG = re.compile("[A-Za-z]{2,3}([-_][A-Za-z0-9]{2,8})*")  # BCP 47, section 2.1, as far as a display language needs it


@cache
def _zones() -> frozenset[str]:
    """The names of the time zone database; none where the machine carries no zone data, so that nothing can be said."""
    return frozenset(zoneinfo.available_timezones())


def wrong(rules: Rules, said: dict[str, Any]) -> Iterator[Row]:
    """Key and reason of everything that a set cannot say.

    `rules` holds what fits its types; `said` is what the layers say, so that a name whose own table
    is unsound is not called undefined as well.
    """
    if rules.currency not in MINOR_DIGITS:
        if "currency" in said and isinstance(said["currency"], str):
            yield "currency", f'"{rules.currency[:40]}" {NO_CODE}'
        return  # without it no grid, no amount and no exchange rate can be judged
    yield from _wrong_display(rules)
    yield from _wrong_money(rules)
    if said.get("media") == {}:
        yield "media", "the member makes nothing: no medium is left"
    for name, medium in rules.media.items():
        yield from _wrong_medium(rules, said, name, medium)
    for name, grade in rules.grades.items():
        if grade.factor == 0:
            yield f"grades.{name}.factor", "a factor is over 0: every price would be 0"
    for name, cost in rules.costs.items():
        yield from _wrong_cost(cost, said["costs"][name], f"costs.{name}")
    yield from wrong_outlets(rules, said)
    for name, shown in rules.formats.items():
        yield from _wrong_format(said, shown, said["formats"][name], f"formats.{name}")
    yield from _wrong_years(rules)
    yield from wrong_terms(rules)


def _wrong_display(rules: Rules) -> Iterator[Row]:
    if not _TAG.fullmatch(rules.locale):
        yield "locale", f'"{rules.locale}" is no language tag such as en or de-AT'
    known = _zones()
    if known and rules.time_zone not in known:
        yield "time_zone", f'"{rules.time_zone}" is no time zone of the IANA database, such as Etc/UTC'
    if rules.bands:
        yield from wrong_bands([band.below for band in rules.bands], "bands", "below", "budget band")
    earning = rules.earning
    if earning is not None and earning.hourly_floor > earning.hourly_target:
        yield "earning.hourly_floor", f"the floor {figure(earning.hourly_floor)} is over the target {figure(earning.hourly_target)}"


def _wrong_money(rules: Rules) -> Iterator[Row]:
    for code, rate in rules.fx.items():
        at = f"fx.{code}"
        if code not in MINOR_DIGITS:
            yield at, f'"{code[:40]}" {NO_CODE}'
            continue
        if code == rules.currency:
            yield at, f"{code} is the member's own currency: it has no rate to itself"
        if rate.rate == 0:
            yield f"{at}.rate", "a rate of 0"
        if rate.rounding:
            yield from wrong_rounding(rate.rounding, code, f"{at}.rounding")
    if rules.rounding:
        yield from wrong_rounding(rules.rounding, rules.currency, "rounding")


def wrong_rounding(rounding: Rounding, currency: str, at: str) -> Iterator[Row]:
    """Steps off the currency's minor unit, limits that do not rise, and limits that are no multiples of the steps beside them."""
    steps = rounding.steps
    found = list(wrong_bands([step.below for step in steps], f"{at}.steps", "below", "step"))
    for i, step in enumerate(steps):
        if step.step <= 0:
            found.append((f"{at}.steps[{i}].step", "a step is over 0"))
        elif EXACT.remainder(step.step, minor_unit(currency)) != 0:
            found.append((f"{at}.steps[{i}].step", f"a step of {figure(step.step)} is no multiple of {currency}'s minor unit"))
    yield from found
    if found:
        return
    for i, (before, after) in enumerate(zip(steps, steps[1:])):
        for beside in (before, after):
            if before.below is not None and EXACT.remainder(before.below, beside.step) != 0:
                yield (
                    f"{at}.steps[{i}].below",
                    f"the limit {figure(before.below)} is no multiple of the step {figure(beside.step)} beside it",
                )


def _wrong_medium(rules: Rules, said: dict[str, Any], name: str, medium: Medium) -> Iterator[Row]:
    at = f"media.{name}"
    yield from wrong_schedule(medium.schedule, medium.measure, f"{at}.schedule")
    if isinstance(medium.schedule, Listed):
        yield from wrong_list(medium.schedule.prices, rules.formats, said.get("formats", {}), medium.measure, f"{at}.schedule")
    if medium.hours is not None:
        if medium.measure == "hours":
            yield f"{at}.hours", "a medium priced by time takes each work's own hours"
        yield from _wrong_hours(medium.hours, medium, f"{at}.hours")
    if medium.minimum is not None:
        grid = rules.rounding
        if medium.minimum <= 0:
            yield f"{at}.minimum", "a minimum lies on the rounding grid and is over 0"
        elif EXACT.remainder(medium.minimum, minor_unit(rules.currency)) != 0:
            yield f"{at}.minimum", f"{figure(medium.minimum)} is no amount in {rules.currency}"
        elif grid and not any(wrong_rounding(grid, rules.currency, "")) and not on_grid(grid, medium.minimum):
            yield f"{at}.minimum", f"a minimum lies on the rounding grid and is over 0: {figure(medium.minimum)} does not"


def _wrong_hours(hours: Flat, medium: Medium, at: str) -> Iterator[Row]:
    for key, reason in wrong_schedule(hours, medium.measure, at):
        yield key, reason.replace("every price would be 0", "every work would take no time")


def _wrong_cost(cost: Cost, written: dict[str, Any], at: str) -> Iterator[Row]:
    if cost.treatment == "marked_up" and "percent" not in written:
        yield f"{at}.percent", "missing: a marked_up cost says by how much"
    elif cost.treatment != "marked_up" and "percent" in written:
        yield f"{at}.percent", f"a percent goes with marked_up, and this cost is {cost.treatment}"
    if cost.show_at_cost and cost.treatment != "at_cost":
        yield f"{at}.show_at_cost", f"goes with at_cost, and this cost is {cost.treatment}"
    estimate = cost.estimate
    if estimate is None:
        return
    if isinstance(estimate.schedule, Listed):
        yield f"{at}.estimate.schedule.kind", "an estimate needs a schedule over a measure; a listed one has none"
        return
    if cost.frame and estimate.measure == "hours":
        yield f"{at}.estimate.measure", "a frame is measured by the work's size, never by its hours"
    yield from wrong_schedule(estimate.schedule, estimate.measure, f"{at}.estimate.schedule")


def _wrong_format(said: dict[str, Any], shown: ShownFormat, written: dict[str, Any], at: str) -> Iterator[Row]:
    if ("size" in written) == ("standard" in written):
        yield at, "give a size, or the name of a standard format, and not both"
    if shown.standard is not None and shown.standard not in FORMATS:
        yield f"{at}.standard", f'no standard format "{shown.standard}"'
    if shown.size is not None:
        try:
            in_mm(shown.size, "")
        except Refusal as refusal:
            yield f"{at}.size{refusal.pointer.replace('/', '.')}", refusal.detail
    for i, medium in enumerate(shown.media or ()):
        if medium not in said.get("media", {}):
            yield f"{at}.media[{i}]", f'nobody defined the medium "{medium}"'


def _wrong_years(rules: Rules) -> Iterator[Row]:
    increase = rules.increase
    if increase is None:
        return
    if increase.base_date.year < OLDEST:
        yield "increase.base_date", f"before {OLDEST}: is the year right?"
    if increase.yearly_percent > HUNDRED:
        yield "increase.yearly_percent", "at most 100 % a year"
    for year, percent in increase.exceptions.items():
        if not _YEAR.fullmatch(year):
            yield f"increase.exceptions.{year}", f'"{year[:40]}" is no calendar year'
        elif percent > HUNDRED:
            yield f"increase.exceptions.{year}", "at most 100 % a year"
