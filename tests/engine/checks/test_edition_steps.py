"""The numbers of an edition against the step of its medium that each falls into."""

from datetime import date
from decimal import Decimal as D

import pytest
from msgspec.structs import replace
from tests.engine.checks.shelf import checked, found, member, work

from evenhang.engine.checks.catalogue import CatalogueWork, EditionNumber
from evenhang.engine.checks.check import check_catalogue
from evenhang.engine.edition import price_edition
from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.rules import EditionStep, EditionTerms, RuleSet
from evenhang.engine.sizes import Size
from evenhang.engine.works import Work
from evenhang.rulebook.book import RuleBook


def in_edition(*steps: EditionStep) -> RuleSet:
    """The member, with oils that are sold in editions."""
    rules = member()
    oil = replace(rules.rules.media["oil"], edition=EditionTerms(steps))
    return RuleSet(rules.member, replace(rules.rules, media={"oil": oil}), {}, "0" * 64, date(2025, 1, 1))


def run_of(numbers: int | None, number: int, price: str) -> CatalogueWork:
    return work("a", "20", price, edition=EditionNumber("Run", number, numbers))


@pytest.mark.parametrize(("number", "price"), [(10, "200.00"), (11, "240.00"), (20, "240.00"), (21, "300.00")])
def test_a_number_of_an_edition_is_held_to_its_step(number: int, price: str) -> None:
    """From number 11 on 1.2 times, from 21 on 1.5 times 200."""
    rules = in_edition(EditionStep(D("1.2"), from_number=11), EditionStep(D("1.5"), from_number=21))
    assert found(rules, "off-the-rule", run_of(None, number, price)) == []
    others = {"200.00", "240.00", "300.00"} - {price}
    assert all(found(rules, "off-the-rule", run_of(None, number, other)) for other in others)


def test_a_step_by_the_part_sold_needs_to_know_of_how_many() -> None:
    """Half of 8 sold: from number 5 on. Of an unknown number nobody can tell, and number 9 of 8 there is none."""
    rules = in_edition(EditionStep(D("1.2"), sold_percent=D(50)))
    assert found(rules, "off-the-rule", run_of(8, 4, "200.00"), run_of(8, 5, "240.00")) == []
    assert found(rules, "off-the-rule", run_of(8, 5, "200.00"))
    (note,) = [f for f in checked(rules, run_of(None, 5, "240.00")).findings if f.about == "off-the-rule"]
    assert (note.pointer, note.mend) == ("#/works/0/edition/numbers", "Add numbers.")
    (beyond,) = [f for f in checked(rules, run_of(8, 9, "240.00")).findings if f.about is None and f.code == "incomplete"]
    assert beyond.pointer == "#/works/0/edition/number"
    assert found(rules, "off-the-rule", run_of(None, 1, "200.00")) == []  # number 1 is of the first step, of however many
    assert found(rules, "off-the-rule", run_of(None, 1, "240.00"))


def test_a_later_step_contradicts_no_other_work() -> None:
    """From number 5 on 240.00 for a size that asks 200.00: what the rules made is no contradiction, and nothing is mended by it.

    Of an unknown step nobody can tell. While numbers of the first step are for sale, the edition is compared by the lowest of them.
    """
    rules = in_edition(EditionStep(D("1.2"), sold_percent=D(50)))
    same, larger = work("b", "20", "200.00"), work("c", "21", "210.00")
    for later in (run_of(8, 5, "240.00"), run_of(None, 5, "240.00")):
        done = checked(rules, later, same, larger, mend=("raise-only", "least-change"))
        assert done.contradicting_pairs == 0
        assert [list_.changes for list_ in done.mended] == [(), ()]
    first = run_of(8, 4, "190.00")
    assert checked(rules, first, replace(run_of(8, 5, "240.00"), id="e"), same).contradicting_pairs == 1


@pytest.mark.parametrize(("name", "medium", "numbers"), [("bracken-gouge", "linocut", 30), ("glimmerfallow", "silver-print", 12)])
def test_what_an_edition_asks_is_never_off_its_rule(book: RuleBook, name: str, medium: str, numbers: int) -> None:
    """The list that pricing an edition makes, checked: nothing is off the rule, nothing out of order."""
    day = date(2026, 5, 1)
    rules = book.in_force(name, day)
    one = Work(medium, size=Size(Amount("20"), "cm", Amount("30")))
    edition, _ = price_edition(rules, one, numbers, 0, D(0), D(0), day)
    assert len({copy.price.amount for copy in edition.copies}) == 3
    works = [
        CatalogueWork(
            f"n{copy.number}", one, GivenMoney(Amount(str(copy.price.amount)), "EUR"), edition=EditionNumber("Run", copy.number, numbers)
        )
        for copy in edition.copies
    ]
    codes = {f.code for f in check_catalogue(rules, lambda _: rules, works, day).findings}
    assert not codes & {"off-the-rule", "edition-out-of-order", "off-the-rounding"}
