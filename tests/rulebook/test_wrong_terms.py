"""Terms of works made to order, sets and editions that are refused, with file, key and reason."""

import shutil
from pathlib import Path

import pytest

from evenhang.demo import RULES
from evenhang.rulebook.book import BadRules, load_book

HOUSE = "house/2025-01-01.toml"
LINO = "members/bracken-gouge/2025-01-01.toml"
PRINT = "members/glimmerfallow/2025-01-01.toml"
ORDER = 'name = "order", title = "On the order", percent = 40, cancelled_percent = 25'


@pytest.mark.parametrize(
    ("file", "old", "new", "key", "reason"),
    [
        (HOUSE, ORDER, ORDER.replace("40", "39.9"), "bespoke.stages", "sum to 99.9 %, not to 100 %"),
        (HOUSE, ORDER, ORDER.replace("25", "51"), "bespoke.stages[1].cancelled_percent", "cost less than an earlier"),
        (HOUSE, "cancelled_percent = 100", "cancelled_percent = 100.1", "bespoke.stages[2].cancelled_percent", "more than the whole"),
        (HOUSE, 'name = "sketch"', 'name = "order"', "bespoke.stages[1].name", "further up already"),
        (HOUSE, "uplift_percent = 15", "uplift_percent = -15", "bespoke.uplift_percent", "negative"),
        (HOUSE, "uplift_percent = 15", "uplift = 15", "bespoke.uplift", "unknown key"),
        (HOUSE, "stands_days = 30", "stands_days = 30.5", "bespoke.stands_days", "expected a whole number"),
        (HOUSE, "stands_days = 30", "stands_days = 4000", "bespoke.stands_days", "to 3660"),
        (HOUSE, "works = 2, percent = 5", "works = 1, percent = 5", "sets.discounts[0].works", "two works or more"),
        (HOUSE, "works = 4, percent = 8", "works = 2, percent = 8", "sets.discounts[1].works", "more than the row before"),
        (HOUSE, "works = 4, percent = 8", "works = 4, percent = 4", "sets.discounts[1].percent", "smaller discount"),
        (HOUSE, "works = 4, percent = 8", "works = 4, percent = 91", "sets.discounts[1].percent", "at most 90 %"),
        (LINO, "from_number = 11, ", "", "media.linocut.edition.steps[0]", "either from_number or sold_percent"),
        (LINO, "from_number = 11,", "from_number = 11, sold_percent = 5,", "media.linocut.edition.steps[0]", "either from_number"),
        (LINO, "from_number = 21", "from_number = 11", "media.linocut.edition.steps[1].from_number", "after the step before"),
        (LINO, "from_number = 11", "from_number = 1", "media.linocut.edition.steps[0].from_number", "after number 1"),
        (LINO, "from_number = 21", "sold_percent = 50", "media.linocut.edition.steps[1]", "or all by sold_percent"),
        (LINO, "factor = 1.5", "factor = 1.19", "media.linocut.edition.steps[1].factor", "cheaper than an earlier"),
        (LINO, "from_number = 11, factor = 1.2", "from_number = 11, factor = 0.9", "media.linocut.edition.steps[0].factor", "cheaper"),
        (LINO, "proof_factor = 1.3", "proof_factor = 0.9", "media.linocut.edition.proof_factor", "undercut"),
        (LINO, "most_numbers = 50", "most_numbers = 0", "media.linocut.edition.most_numbers", "at least one"),
        (PRINT, "sold_percent = 80", "sold_percent = 100", "media.silver-print.edition.steps[1].sold_percent", "before the whole edition"),
        (PRINT, "sold_percent = 80", "sold_percent = 50", "media.silver-print.edition.steps[1].sold_percent", "after the one before"),
        (PRINT, "proofs_percent = 5", "proofs_percent = 101", "media.silver-print.edition.proofs_percent", "more proofs than numbers"),
        (PRINT, '"photograph"', '"print"', "media.silver-print.edition.copies_as", "is not one of"),
    ],
)  # fmt: skip
def test_refused_with_file_key_and_reason(tmp_path: Path, file: str, old: str, new: str, key: str, reason: str) -> None:
    folder = Path(shutil.copytree(RULES, tmp_path / "rules"))
    text = (folder / file).read_text()
    assert text.count(old) == 1
    (folder / file).write_text(text.replace(old, new))
    with pytest.raises(BadRules) as bad:
        load_book(folder)
    assert any(f.file == file and f.key == key and reason in f.reason for f in bad.value.faults), bad.value
