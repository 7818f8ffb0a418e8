"""A digest means one rule set: whose, and since when. What changes nothing has no digest of its own."""

from datetime import date

from tests.rulebook.folders import FILES, HOUSE, OWN, check, edited

from evenhang.rulebook.book import RuleBook

NOTHING = "# nothing yet\n"


def book_of(files: dict[str, str]) -> RuleBook:
    checked = check(files)
    assert checked.book is not None, checked.faults
    found: RuleBook = checked.book
    return found


def shared(*members: str) -> RuleBook:
    """All rules in the house's files, and members who say nothing of their own, each since a year later."""
    house = {"house/2024-01-01.toml": FILES[HOUSE], "house/2024-02-01.toml": FILES[OWN]}
    return book_of(house | {f"members/{name}/{2025 + i}-01-01.toml": NOTHING for i, name in enumerate(members)})


def test_members_with_the_same_rules_have_sets_of_their_own() -> None:
    book = shared("aspen-shed", "birch-shed")
    day = date(2026, 5, 1)
    one, other = book.in_force("aspen-shed", day), book.in_force("birch-shed", day)
    assert one.rules == other.rules
    assert one.digest != other.digest
    assert [book.by_digest[rules.digest] for rules in (one, other)] == [one, other]
    tried = [book.tried(rules, {"levy_percent": "3"}) for rules in (other, one)]
    assert [(made.member, made.effective_from) for made in tried] == [("birch-shed", date(2026, 1, 1)), ("aspen-shed", date(2025, 1, 1))]


def test_another_member_is_another_book() -> None:
    assert shared("aspen-shed").digest != shared("aspen-shed", "birch-shed").digest


def test_a_file_that_changes_nothing_begins_nothing() -> None:
    plain = book_of(FILES)
    later = book_of({**FILES, "house/2026-06-01.toml": NOTHING, "members/thimble-yard/2026-07-01.toml": NOTHING})
    assert [(r.digest, r.effective_from, r.effective_until) for r in later.segments["thimble-yard"]] == [
        (r.digest, r.effective_from, r.effective_until) for r in plain.segments["thimble-yard"]
    ]
    assert later.digest == plain.digest


def test_what_was_the_same_until_a_file_ends_with_it() -> None:
    files = {**FILES, "house/2026-06-01.toml": NOTHING, "house/2026-07-01.toml": "levy_percent = 3\n"}
    first, second = book_of(files).segments["thimble-yard"]
    assert (first.effective_until, second.effective_from) == (date(2026, 7, 1), date(2026, 7, 1))


def test_the_house_changing_what_the_member_says_itself_begins_nothing() -> None:
    own = edited(OWN, 'title = "Thimble Yard"', 'title = "Thimble Yard"\nlevy_percent = 8')
    assert len(book_of({**own, "house/2026-06-01.toml": "levy_percent = 3\n"}).segments["thimble-yard"]) == 1
