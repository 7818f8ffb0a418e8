"""The demo shows every kind of rule: the structs themselves say what there is, and some loaded rule set must use it."""

import tomllib
from collections.abc import Iterable, Iterator
from itertools import product
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import msgspec
import pytest

from evenhang.demo import RULES
from evenhang.engine.rules import CostEstimate, Rules, RuleSet, schedule_per
from evenhang.engine.schedules import Schedule, Time
from evenhang.engine.sizes import Measure, Per
from evenhang.rulebook.book import RuleBook


def inner(kind: Any) -> Iterator[Any]:
    """The structs and literals inside a type."""
    origin = get_origin(kind)
    if origin is Literal or (isinstance(kind, type) and issubclass(kind, msgspec.Struct)):
        yield kind
    elif origin is Annotated:
        yield from inner(get_args(kind)[0])
    elif origin in (Union, UnionType, tuple, dict):
        for part in get_args(kind):
            yield from inner(part)


def structs(kind: type, seen: set[type]) -> set[type]:
    """Every struct that a value of `kind` can hold, and itself."""
    if kind not in seen:
        seen.add(kind)
        for field in msgspec.structs.fields(kind):
            for part in inner(field.type):
                if isinstance(part, type):
                    structs(part, seen)
    return seen


# A unit may also follow from the measure: test_every_unit_of_a_rate counts it as the engine does.
def literals(field: msgspec.structs.FieldInfo) -> Iterator[tuple[str, ...]]:
    return (get_args(part) for part in inner(field.type) if get_origin(part) is Literal and part != Per)


def wanted() -> set[str]:
    """All there is to show: each struct, each field that has a default, each word of a closed list of words."""
    out = set()
    for kind in structs(Rules, set()):
        out.add(kind.__name__)
        for field in msgspec.structs.fields(kind):
            if not field.required:
                out.add(f"{kind.__name__}.{field.name}")
            out |= {f'"{word}" of {"/".join(words)}' for words in literals(field) for word in words}
    return out


def shown(value: Any) -> Iterator[str]:
    """What a value shows: its structs, its fields that are not left at their default, its words."""
    if isinstance(value, dict):
        value = tuple(value.values())
    if isinstance(value, tuple):
        for part in value:
            yield from shown(part)
    elif isinstance(value, msgspec.Struct):
        kind = type(value)
        yield kind.__name__
        for field in msgspec.structs.fields(kind):
            here = getattr(value, field.name)
            default = field.default if field.default_factory is msgspec.NODEFAULT else field.default_factory()
            if not field.required and here != default:
                yield f"{kind.__name__}.{field.name}"
            yield from (f'"{here}" of {"/".join(words)}' for words in literals(field) if here in words)
            yield from shown(here)


def missing(sets: Iterable[RuleSet]) -> set[str]:
    return wanted().difference(*(shown(rules.rules) for rules in sets))


@pytest.fixture(scope="module")
def sets(book: RuleBook) -> list[RuleSet]:
    return [rules for member in book.segments.values() for rules in member]


def test_every_kind_field_and_word_of_the_rules_is_shown(sets: list[RuleSet]) -> None:
    assert not missing(sets)


@pytest.mark.parametrize(
    ("left_out", "lost"),
    [("weftanderel", "Time"), ("muddlefern", "Points"), ("bracken-gouge", '"mm"'), ("alder-lane", '"canvas"'), ("glimmerfallow", '"in"')],
)
def test_what_one_workshop_alone_shows_is_missed_without_it(sets: list[RuleSet], left_out: str, lost: str) -> None:
    gone = missing(rules for rules in sets if rules.member != left_out)
    assert any(name.startswith(lost) for name in gone), gone


def test_every_schedule_and_every_measure_prices_a_medium(sets: list[RuleSet]) -> None:
    media = [medium for rules in sets for medium in rules.rules.media.values()]
    assert {type(medium.schedule) for medium in media} == set(get_args(Schedule))
    assert {medium.measure for medium in media} == set(get_args(Measure))


def test_every_unit_of_a_rate(sets: list[RuleSet]) -> None:
    rated = [m for rules in sets for m in rules.rules.media.values()]
    rated += [c.estimate for rules in sets for c in rules.rules.costs.values() if c.estimate]
    assert {schedule_per(r.schedule, r.measure) for r in rated} == set(get_args(Per))
    written = {r.schedule.per for r in rated if hasattr(r.schedule, "per")}
    assert written >= {"cm2", "in2", "cm", "in", "cm3"}


def test_every_treatment_of_a_cost_with_and_without_an_estimate(sets: list[RuleSet]) -> None:
    seen = {(cost.treatment, isinstance(cost.estimate, CostEstimate)) for rules in sets for cost in rules.rules.costs.values()}
    assert seen == set(product(("absorbed", "at_cost", "marked_up", "recovered"), (True, False)))


def test_terms_that_only_show_in_outlets(sets: list[RuleSet]) -> None:
    outlets = [rules.rules.outlets[name] for rules in sets for name in rules.rules.sells_in]
    assert {type(outlet.tax).__name__ for outlet in outlets} == {"NoneType", "NoTax", "TaxIncluded", "TaxAdded"}
    assert {outlet.tax_on_commission.recoverable for outlet in outlets if outlet.tax_on_commission} == {True, False}
    assert {outlet.payment_fee.borne_by for outlet in outlets if outlet.payment_fee} == {"member", "outlet", "house"}
    assert {(o.discount.share, o.discount.beyond_limit) for o in outlets} == set(product(("both", "split"), ("outlet", "member")))
    assert {0, 50, 100} <= {outlet.discount.member_percent for outlet in outlets if outlet.discount.share == "split"}
    assert {"JPY", "KWD"} <= {outlet.currency for outlet in outlets}


def test_prices_are_rounded_both_ways_also_abroad(sets: list[RuleSet]) -> None:
    assert {rules.rules.rounding.direction for rules in sets} == {"nearest", "up"}
    assert {rate.rounding.direction for rules in sets for rate in rules.rules.fx.values()} == {"nearest", "up"}


def test_an_exception_of_the_increase_has_come_to_pass(book: RuleBook) -> None:
    for member in ("weftanderel", "bracken-gouge"):
        increase = book.segments[member][-1].rules.increase
        assert increase.exceptions["2026"] != increase.yearly_percent


def test_members_override_outlets_of_the_house(sets: list[RuleSet]) -> None:
    own = {
        p.split(".")[1] for rules in sets for p, o in rules.origins.items() if p.startswith("outlets.") and o.layer.startswith("members/")
    }
    assert own == {"quay-gallery", "shed-shop", "salt-arcade"}


def test_house_and_member_both_take_a_key_away(book: RuleBook) -> None:
    def removed(table: Any) -> bool:
        return isinstance(table, dict) and (table.get("kind") == "removed" or any(map(removed, table.values())))

    files = [path.relative_to(RULES).parts[0] for path in RULES.rglob("*.toml") if removed(tomllib.loads(path.read_text()))]
    assert set(files) == {"house", "members"}
    first, last = book.segments["muddlefern"][0], book.segments["muddlefern"][-1]
    assert ("summer-tent" in first.rules.outlets, "summer-tent" in last.rules.outlets) == (True, False)


def test_two_years_of_rules_in_every_workshop(book: RuleBook) -> None:
    assert len(book.segments) == 5
    for segments in book.segments.values():
        assert {rules.effective_from.year for rules in segments} == {2025, 2026}


def test_time_is_priced_by_hours_only(sets: list[RuleSet]) -> None:
    assert {m.measure for rules in sets for m in rules.rules.media.values() if isinstance(m.schedule, Time)} == {"hours"}
