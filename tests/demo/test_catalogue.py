"""The demo's catalogue: priced by the rules of its day, but for what PLANTED.md owns up to."""

import json
from datetime import date
from typing import Any

import msgspec
import pytest

from evenhang.demo import CATALOGUE, PLANTED
from evenhang.engine.checks import CatalogueWork, check_catalogue
from evenhang.engine.quote import price_work
from evenhang.rulebook.book import RuleBook

ON = date(2026, 5, 1)
CODES = {"larger-for-less", "same-size-different-price", "off-the-rounding", "incomplete"}
MEMBERS = ("alder-lane", "bracken-gouge", "glimmerfallow", "muddlefern", "weftanderel")
ROWS = [[cell.strip() for cell in line.strip("|").split("|")] for line in PLANTED.read_text().splitlines() if line.startswith("|")]
FINDINGS = {(row[0], row[1], tuple(row[2].split(", "))) for row in ROWS if row[1] in CODES}
LISTED_ON = {row[0]: date.fromisoformat(row[1]) for row in ROWS if row[1].startswith("20")}


def works_of(member: str) -> tuple[CatalogueWork, ...]:
    def hook(kind: Any, value: object) -> Any:
        return kind.parse(value)

    return msgspec.convert(json.loads(CATALOGUE.read_text())[member], tuple[CatalogueWork, ...], dec_hook=hook)


def test_sixty_works_of_five_workshops() -> None:
    everything = json.loads(CATALOGUE.read_text())
    ids = [work["id"] for works in everything.values() for work in works]
    assert set(everything) == set(MEMBERS)
    assert len(ids) == len(set(ids)) >= 60
    assert {work["state"] for works in everything.values() for work in works} == {"for-sale", "reserved", "sold", "nfs"}


@pytest.mark.parametrize("member", MEMBERS)
def test_a_check_finds_exactly_what_is_planted(book: RuleBook, member: str) -> None:
    found = [f for f in check_catalogue(book.in_force(member, ON), works_of(member), ON) if f.code in CODES]
    planted = {row for row in FINDINGS if row[0] == member}
    assert planted
    assert {(member, f.code, f.works) for f in found} == planted
    assert len(found) == len(planted)


@pytest.mark.parametrize("member", MEMBERS)
def test_every_other_work_has_the_price_of_its_rules(book: RuleBook, member: str) -> None:
    blamed = {work for row in FINDINGS for work in row[2]}
    clean = [item for item in works_of(member) if item.id not in blamed]
    assert len(clean) >= 9
    for item in clean:
        on = LISTED_ON[item.id] if item.state == "sold" else ON
        assert price_work(book.in_force(member, on), item.work, on).retail == item.price.amount, item.id


def test_each_medium_in_force_has_a_work(book: RuleBook) -> None:
    for member in MEMBERS:
        assert set(book.in_force(member, ON).rules.media) <= {item.work.medium for item in works_of(member)}
