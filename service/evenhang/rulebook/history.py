"""What one day's rules do to the days before: history that a later file would rewrite, and prices that would fall back.

Knows two rule sets of one member that follow one another; no file but by its name.
"""

from collections.abc import Iterator

from evenhang.engine.growth import anniversary, growth, percent_of, years_passed
from evenhang.engine.money import ONE, figure
from evenhang.engine.rules import RuleSet
from evenhang.rulebook.layers import Fault

Row = tuple[str, str]


def judge_change(before: RuleSet, after: RuleSet, otherwise: str) -> Iterator[Fault]:
    """Refusals and warnings about the step from one segment of time to the next; `otherwise` is the file that makes the step."""
    rows = [
        *((key, reason, False) for key, reason in _rewritten(before, after)),
        *((key, reason, True) for key, reason in _jumps(before, after)),
    ]
    for key, reason, warning in rows:
        layer = after.origin(key).layer
        yield Fault(layer if layer != "default" else otherwise, key, reason, warning)


def _rewritten(before: RuleSet, after: RuleSet) -> Iterator[Row]:
    """Each past anniversary whose percentage would be another one from now on."""
    old, new, since = before.rules.increase, after.rules.increase, after.effective_from
    if old is not None and new is None and growth(old, since) != ONE:
        yield "increase", f"takes back what has grown since {old.base_date}: to stop it, set base_date and yearly_percent = 0"
    if old is None or new is None or old.base_date != new.base_date:
        return
    for year in range(old.base_date.year + 1, since.year + 1):
        if anniversary(old.base_date, year) < since and percent_of(old, year) != percent_of(new, year):
            key = f"increase.exceptions.{year}" if str(year) in new.exceptions else "increase.yearly_percent"
            was = figure(percent_of(old, year))
            yield key, f"rewrites {year}, which has passed with {was} %: set base_date, or exceptions.{year}"


def _jumps(before: RuleSet, after: RuleSet) -> Iterator[Row]:
    """Prices that would leap or fall back on the day of the change, for the increase and the schedules no longer count from one day."""
    old, new, since = before.rules.increase, after.rules.increase, after.effective_from
    had, has = growth(old, since), growth(new, since)
    changed = [n for n, m in after.rules.media.items() if n in before.rules.media and m.schedule != before.rules.media[n].schedule]
    if old is None:
        if has != ONE:
            years = len(years_passed(new, since)) if new else 0
            yield "increase.base_date", f"{years} anniversaries have passed: on {since} prices rise at once by a factor of {has:.4g}"
    elif new is None:
        return  # is refused where anything has grown
    elif old.base_date != new.base_date:
        if had != has and not changed:
            yield "increase.base_date", f"no schedule is stated anew: on {since} prices change by a factor of {has / had:.4g}"
    elif had != ONE:
        for name in changed:
            yield f"media.{name}.schedule", f"changed without base_date: the increase since {old.base_date} comes on top"
