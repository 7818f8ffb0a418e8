"""Random works for random rules, and random damage to a rule folder: what tests/rulesets.py hands out beside the folders.

Every work can be priced by the rules it is drawn for.
"""

import datetime
import tomllib
from decimal import Decimal as D
from typing import Any

import msgspec
from hypothesis import strategies as st
from tests.drawn_schedules import figures, toml

from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.rules import Medium, RuleSet
from evenhang.engine.schedules import Listed
from evenhang.engine.sizes import FORMATS, Size
from evenhang.engine.works import ChosenExtra, Work, WorkCost

sides = figures("1", "300", 1)


@st.composite
def sized(draw: st.DrawFn, name: str, medium: Medium) -> tuple[Work, Work]:
    """Two works of the medium, the second as large or larger on every side (hours, panels, canvas number), told as the medium needs it."""
    if isinstance(medium.schedule, Listed):
        ordered = sorted(
            medium.schedule.prices, key=lambda format_: medium.schedule.prices[format_]
        )  # larger never costs less: the loader saw to it
        i = draw(st.integers(0, len(ordered) - 1))
        j = draw(st.integers(i, len(ordered) - 1))
        return Work(name, format=ordered[i]), Work(name, format=ordered[j])
    if medium.measure == "hours":
        hours = sorted(draw(st.tuples(figures("0.25", "400"), figures("0.25", "400"))))
        return Work(name, hours=Amount(str(hours[0]))), Work(name, hours=Amount(str(hours[1])))
    if medium.measure == "canvas":
        canvases = sorted((f for f in FORMATS.values() if f.canvas), key=lambda f: f.canvas or 0)
        i, j = sorted(draw(st.tuples(st.integers(0, len(canvases) - 1), st.integers(0, len(canvases) - 1))))
        return Work(name, format=canvases[i].name), Work(name, format=canvases[j].name)
    panels = draw(st.lists(st.tuples(sides, sides, sides), min_size=1, max_size=3))
    grown = [tuple(side + draw(figures("0", "50", 1)) for side in panel) for panel in panels]
    unit = draw(st.sampled_from(["cm", "in", "mm"]))
    small, large = (tuple(Size(Amount(str(h)), unit, Amount(str(w)), Amount(str(d))) for h, w, d in of) for of in (panels, grown))
    if len(panels) == 1 and draw(st.booleans()):
        return Work(name, size=small[0]), Work(name, size=large[0])
    return Work(name, panels=small), Work(name, panels=large)


@st.composite
def works(draw: st.DrawFn, rules: RuleSet, medium: str | None = None) -> Work:
    """A work that the rules can price, with whatever grade, extras and costs they know; a cost that they cannot estimate has an amount."""
    name = medium or draw(st.sampled_from(sorted(rules.rules.media)))
    work = draw(sized(name, rules.rules.media[name]))[1]
    measured = work.size is not None or work.panels is not None
    said = []
    for cost, rule in rules.rules.costs.items():
        if draw(st.booleans()):
            estimated = rule.estimate is not None and measured and draw(st.booleans())
            amount = None if estimated else GivenMoney(Amount(str(draw(figures("0", "300")))), rules.currency)
            said.append(WorkCost(cost, amount))
    return msgspec.structs.replace(
        work,
        grade=draw(st.none() | st.sampled_from(sorted(rules.rules.grades))) if rules.rules.grades else None,
        extras=tuple(ChosenExtra(extra, draw(st.integers(1, 5))) for extra in rules.rules.extras if draw(st.booleans())),
        costs=tuple(said),
        hours=work.hours or draw(st.none() | figures("0.5", "200").map(lambda h: Amount(str(h)))),
    )


NOON = datetime.datetime(2025, 9, 15, 12, 0, tzinfo=datetime.UTC)
JUNK = st.one_of(
    st.sampled_from([D("nan"), D("-1"), D(0), D("1e30"), D("0.001"), True, "", "none", "removed", [], {}, {"kind": "removed"}, NOON]),
    figures("0", "200"), st.text(max_size=5),
)  # fmt: skip


@st.composite
def mutated(draw: st.DrawFn, files: dict[str, str]) -> dict[str, str]:
    """The folder with one value of one file replaced, one key renamed or one taken away."""
    path = draw(st.sampled_from(sorted(files)))
    says = tomllib.loads(files[path], parse_float=D)
    table: Any = says
    while True:
        key = draw(st.sampled_from(sorted(table) if isinstance(table, dict) else range(len(table))))
        inner = table[key]
        if not (isinstance(inner, (dict, list)) and inner and draw(st.integers(0, 3))):
            break
        table = inner
    how = draw(st.sampled_from(["replace", "replace", "remove", "rename"]))
    if how == "replace":
        table[key] = draw(JUNK)
    else:
        value = table.pop(key)
        if how == "rename" and isinstance(table, dict):
            table[f"{key}x"] = value
    return {**files, path: toml(says)}
