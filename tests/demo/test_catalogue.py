"""The demo's catalogue: priced by the rules of its day, but for what PLANTED.md owns up to."""

import json
from collections import Counter
from datetime import date
from functools import partial
from typing import Any, get_args

import msgspec
import pytest

from evenhang.demo import CATALOGUE, PLANTED
from evenhang.engine.checks.catalogue import CatalogueWork
from evenhang.engine.checks.check import Checked, check_catalogue
from evenhang.engine.checks.findings import FindingCode
from evenhang.engine.money import Amount
from evenhang.engine.quote import price_work
from evenhang.rulebook.book import RuleBook

ON = date(2026, 5, 1)
CODES = set(get_args(FindingCode))
MEMBERS = ("alder-lane", "bracken-gouge", "glimmerfallow", "muddlefern", "weftanderel")
ROWS = [[cell.strip() for cell in line.strip("|").split("|")] for line in PLANTED.read_text().splitlines() if line.startswith("|")]
FINDINGS = [
    (row[0], row[1], () if row[2] == "-" else tuple(row[2].split(", "))) for row in ROWS if row[1] in CODES and not row[2].isdigit()
]
UNSEEN = [(row[0], row[1], int(row[2])) for row in ROWS if row[2].isdigit()]


def works_of(member: str) -> tuple[CatalogueWork, ...]:
    def hook(kind: Any, value: object) -> Any:
        return kind.parse(value)

    return msgspec.convert(json.loads(CATALOGUE.read_text())[member], tuple[CatalogueWork, ...], dec_hook=hook)


def checked(book: RuleBook, member: str, works: tuple[CatalogueWork, ...], *mend: Any) -> Checked:
    return check_catalogue(book.in_force(member, ON), partial(book.in_force, member), works, ON, mend=mend)


def test_sixty_works_of_five_workshops() -> None:
    everything = json.loads(CATALOGUE.read_text())
    ids = [work["id"] for works in everything.values() for work in works]
    assert set(everything) == set(MEMBERS)
    assert len(ids) == len(set(ids)) >= 60
    assert {work["state"] for works in everything.values() for work in works} == {"for-sale", "reserved", "sold", "nfs"}


def test_every_kind_of_finding_is_planted() -> None:
    assert {code for _, code, _ in FINDINGS} == CODES


@pytest.mark.parametrize("member", MEMBERS)
def test_a_check_finds_exactly_what_is_planted(book: RuleBook, member: str) -> None:
    found = checked(book, member, works_of(member)).findings
    planted = Counter(row for row in FINDINGS if row[0] == member)
    assert planted
    assert Counter((member, f.code, f.works) for f in found if f.about is None) == planted
    unseen = Counter(row for row in UNSEEN if row[0] == member)
    assert Counter((member, f.about, len(f.works)) for f in found if f.about is not None) == unseen


@pytest.mark.parametrize("kind", ["raise-only", "least-change"])
@pytest.mark.parametrize("member", MEMBERS)
def test_the_mended_lists_are_clean(book: RuleBook, member: str, kind: str) -> None:
    works = works_of(member)
    before = checked(book, member, works, kind)
    (mended,) = before.mended
    assert before.contradicting_pairs > 0
    assert mended.changes
    assert mended.unmendable == ()
    assert kind == "least-change" or mended.cuts == 0
    prices = {change.id: change.mended.amount for change in mended.changes}
    listed = [
        msgspec.structs.replace(w, price=msgspec.structs.replace(w.price, amount=Amount(prices[w.id]))) if w.id in prices else w
        for w in works
    ]
    after = checked(book, member, tuple(listed), kind)
    assert after.contradicting_pairs == 0
    assert not {"larger-for-less", "same-size-different-price", "off-the-rounding"} & {f.code for f in after.findings}
    assert after.mended[0].changes == ()


@pytest.mark.parametrize("member", MEMBERS)
def test_every_other_work_has_the_price_of_its_rules(book: RuleBook, member: str) -> None:
    blamed = {work for row in FINDINGS for work in row[2] if row[1] in ("off-the-rule", "off-the-rounding", "incomplete")}
    clean = [item for item in works_of(member) if item.id not in blamed]
    assert len(clean) >= 9
    for item in clean:
        assert item.listed_on is not None
        assert price_work(book.in_force(member, item.listed_on), item.work, item.listed_on).retail == item.price.amount, item.id


def test_each_medium_in_force_has_a_work(book: RuleBook) -> None:
    for member in MEMBERS:
        assert set(book.in_force(member, ON).rules.media) <= {item.work.medium for item in works_of(member)}
