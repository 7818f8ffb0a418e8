"""Past works read by rules with another schedule: the rules that are served stay as they are."""

from datetime import date
from decimal import Decimal as D

from evenhang.demo import RULES
from evenhang.engine.past import with_schedule
from evenhang.engine.schedules import Flat
from evenhang.rulebook.book import load_book


def test_another_schedule_leaves_the_served_rules_alone() -> None:
    """A set that borrows the rest of another's rules finds no origins; what it finds must not be what the other one tells from then on."""
    served = load_book(RULES).in_force("alder-lane", date(2026, 5, 1))
    other = with_schedule(served, "oil", Flat(D(1)), keep_minimum=False)
    assert other.origin("media.oil.schedule").layer == "default"
    assert served.origin("media.oil.schedule").layer == "members/alder-lane/2026-04-01.toml"
    assert other.medium("oil").minimum is None
    assert served.medium("oil").minimum is not None
    assert served.curves["oil"] is not other.curves["oil"]
    assert served.curves["drawing"] is other.curves["drawing"]
