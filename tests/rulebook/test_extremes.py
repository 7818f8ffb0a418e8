"""Every figure of a rule folder at the ends of what a figure may be: refused, or served without ever breaking."""

import tomllib
from collections.abc import Iterator
from contextlib import suppress
from datetime import date
from decimal import Decimal as D
from typing import Any

import pytest
from tests.rulebook.folders import FILES, check
from tests.rulesets import toml

from evenhang.engine.money import Amount
from evenhang.engine.outcome import outcome_of
from evenhang.engine.quote import price_work, settle_everywhere
from evenhang.engine.refusals import Refusal
from evenhang.engine.rules import RuleSet
from evenhang.engine.sizes import Size
from evenhang.engine.target import find_target
from evenhang.engine.works import ChosenExtra, Work, WorkCost

ENDS = (D("999999999999.999999999999"), D("0.000000000001"), D(0), D("999999999999"))
SIDE = Size(Amount("30"), "cm", Amount("40"))
GILDED = (ChosenExtra("gilding", 1000),)
WORKS = (
    Work("oil", size=SIDE, grade="close-work", extras=GILDED, costs=(WorkCost("frame"),), hours=Amount("0.000001")),
    Work("print", size=Size(Amount("100000"), "mm", Amount("0.01"))),
    Work("vessel", size=SIDE, hours=Amount("9")),
    Work("book", format="a4"), Work("study", hours=Amount("99999")),
)  # fmt: skip


def figures_in(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, below in inner:
        yield from figures_in(below, (*path, key))
    if isinstance(value, (int, D)) and not isinstance(value, bool):
        yield path


PLACES = [(file, path) for file, text in FILES.items() for path in figures_in(tomllib.loads(text, parse_float=D))]


def use(rules: RuleSet) -> None:
    for work in WORKS:
        for on in (date(2025, 1, 1), date(2026, 7, 1), date(2090, 1, 1), date(9999, 12, 31)):
            with suppress(Refusal):
                price = price_work(rules, work, on)
                outcome_of(rules, price, settle_everywhere(rules, price))
    with suppress(Refusal):
        find_target(rules, "proceeds", D(500))


@pytest.mark.parametrize(("file", "path"), PLACES, ids=lambda value: ".".join(map(str, value)) if isinstance(value, tuple) else "")
def test_every_figure_at_its_ends(file: str, path: tuple[Any, ...]) -> None:
    for end in ENDS:
        says = tomllib.loads(FILES[file], parse_float=D)
        at: Any = says
        for key in path[:-1]:
            at = at[key]
        at[path[-1]] = end
        checked = check({**FILES, file: toml(says)})
        if checked.book is None:
            assert all(fault.key for fault in checked.refusals)
        else:
            use(checked.book.in_force("thimble-yard", date(2026, 7, 1)))


def test_there_are_figures_to_try() -> None:
    assert len(PLACES) > 40
