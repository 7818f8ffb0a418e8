"""What is said keeps what it was made from, and is an English text meanwhile."""

from decimal import Decimal as D

from evenhang.engine.money import Money, in_percent, numeral, shown
from evenhang.engine.saying import Said, reckon, say


def test_a_text_is_english_and_keeps_its_parts() -> None:
    said = say("{cost}, so that it comes back in {outlet} too", cost=numeral(D("61.50")), outlet="fair")
    assert isinstance(said, Said)
    assert said == "61.5, so that it comes back in fair too"
    assert (said.template, dict(said.values)) == ("{cost}, so that it comes back in {outlet} too", {"cost": "61.5", "outlet": "fair"})


def test_braces_of_other_people_are_not_read() -> None:
    assert reckon("{title}", title="{0} {x.__class__}") == "{0} {x.__class__}"
    assert say("no {braces} without values") == "no {braces} without values"


def test_an_amount_and_a_percentage() -> None:
    assert shown(Money(D("-1240.50"), "EUR")) == "-EUR\u00a01,240.50"
    assert in_percent(D("2.50")) == "2.5 %"
