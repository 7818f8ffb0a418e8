"""Rule folders: layers over time, and everything wrong refused at once with file, key and reason."""

import shutil
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner

from evenhang.cli import main
from evenhang.demo import RULES
from evenhang.engine.refusals import NotInForce
from evenhang.rulebook.book import BadRules, load_book

MEMBER = "members/alder-lane/2025-01-01.toml"
GOOD = 'schedule = { kind = "flat", rate = 2.40, base = 20 }'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(RULES, tmp_path / "rules"))


def edit(folder: Path, file: str, old: str, new: str) -> None:
    text = (folder / file).read_text()
    assert old in text
    (folder / file).write_text(text.replace(old, new))


@pytest.mark.parametrize(
    ("file", "old", "new", "key", "reason"),
    [
        (MEMBER, "minimum = 90", "minimum = 91", "media.oil.minimum", "rounding grid"),
        (MEMBER, "minimum = 90", "minimun = 90", "media.oil.minimun", 'did you mean "minimum"'),
        (MEMBER, "factor = 1.15", "factor = -1.15", "grades.close-work.factor", "negative"),
        (MEMBER, "factor = 1.15", "factor = nan", "grades.close-work.factor", "no figure for a rule"),
        (MEMBER, "factor = 1.15", 'factor = "much"', "grades.close-work.factor", "no figure"),
        (MEMBER, "{ to = 4000, rate = 0.19 }", "{ to = 900, rate = 0.19 }", "media.oil.schedule", "must rise"),
        (MEMBER, '"lantern-fair"]', '"nowhere"]', "sells_in", "nobody defined"),
        (MEMBER, GOOD, 'schedule = { kind = "flat", rate = 2, per = "cm2" }', "media.drawing.schedule", "does not fit"),
        (MEMBER, GOOD, 'schedule = { kind = "points", points = [{ measure = 1, price = 5 }, { measure = 2, price = 4 }] }',
         "media.drawing.schedule", "cost less"),
        (MEMBER, GOOD, 'schedule = { kind = "power", reference_price = 1, reference_measure = 1, exponent = 2.1 }',
         "media.drawing.schedule", "at most 2"),
        ("house/2025-01-01.toml", "below = 200, step = 5", "below = 202, step = 5", "rounding.steps", "no multiple"),
        ("house/2025-01-01.toml", "percent = 45", "percent = 85", "outlets.quay-gallery.terms", "nothing is left"),
        ("house/2025-01-01.toml", "[fx.JPY]", "[fx.USD]", "outlets.lantern-fair.currency", "no exchange rate"),
        ("house/2025-01-01.toml", 'currency = "EUR"', 'currency = "EUX"', "currency", "ISO 4217"),
        ("members/alder-lane/2026-04-01.toml", "base_date = 2026-04-01", "yearly_percent = 8", "increase", "rewrites 2026"),
    ],
)  # fmt: skip
def test_refused_with_file_key_and_reason(folder: Path, file: str, old: str, new: str, key: str, reason: str) -> None:
    edit(folder, file, old, new)
    with pytest.raises(BadRules) as bad:
        load_book(folder)
    assert any(f.file == file and f.key.startswith(key) and reason in f.reason for f in bad.value.faults), bad.value


def test_what_a_what_if_takes_away_is_missing_in_it() -> None:
    book = load_book(RULES)
    base = book.in_force("alder-lane", date(2026, 4, 1))
    medium = next(iter(base.rules.media))
    with pytest.raises(BadRules) as bad:
        book.tried(base, {"media": {medium: {"schedule": {"kind": "removed"}}}})
    assert [(f.file, f.key, f.reason) for f in bad.value.faults] == [("try", f"media.{medium}.schedule", "missing")]


def test_all_faults_at_once(folder: Path) -> None:
    edit(folder, MEMBER, "minimum = 90", "minimum = 91")
    edit(folder, MEMBER, "factor = 1.15", "factor = -1.15")
    run = CliRunner().invoke(main, ["check-rules", str(folder)])
    assert (run.exit_code, "media.oil.minimum" in run.output, "grades.close-work.factor" in run.output) == (1, True, True)


def test_a_later_file_changes_nothing_before_its_day(folder: Path) -> None:
    before = load_book(folder).in_force("alder-lane", date(2025, 6, 1))
    (folder / "members/alder-lane/2026-06-01.toml").write_text('title = "Alder Lane and Daughters"\n')
    after = load_book(folder)
    assert after.in_force("alder-lane", date(2025, 6, 1)).digest == before.digest
    assert after.in_force("alder-lane", date(2026, 6, 1)).rules.title == "Alder Lane and Daughters"


def test_removed_is_absent_from_that_day_on(folder: Path) -> None:
    (folder / "members/alder-lane/2026-06-01.toml").write_text('[grades]\nclose-work = { kind = "removed" }\n')
    book = load_book(folder)
    assert [bool(book.in_force("alder-lane", day).rules.grades) for day in (date(2026, 5, 31), date(2026, 6, 1))] == [True, False]


def test_a_century_after_the_newest_rules_nothing_is_in_force() -> None:
    """Thousands of yearly increases leave all decimals behind: declined, not a fault of ours."""
    book = load_book(RULES)
    assert book.in_force("alder-lane", date(2126, 12, 31)).effective_from == date(2026, 4, 1)
    with pytest.raises(NotInForce) as refusal:
        book.in_force("alder-lane", date(2127, 1, 1))
    assert refusal.value.pointer == "/as_of"


def test_nothing_is_in_force_where_no_years_are_left(folder: Path) -> None:
    (folder / "members/alder-lane/9990-01-01.toml").write_text('title = "Alder Lane, far on"\n')
    book = load_book(folder)
    with pytest.raises(NotInForce) as none:
        book.in_force("alder-lane", date(9999, 6, 1))
    assert none.value.pointer == "/as_of"
