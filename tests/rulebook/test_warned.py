"""What is only doubtful: each warning alone, told apart from refusals, and what it does to the command line."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.rulebook.folders import FILES, HOUSE, LATER, OWN, check, edited, write

from evenhang.cli import main

BANDS = "{ to = 1000, rate = 0.22 }, { to = 4000, rate = 0.19 }, { rate = 0.16 }"
MARK_UP = 'terms = { kind = "mark-up", percent = 60 }'

ALONE = [
    (edited(OWN, BANDS, "{ to = 1000, rate = 0.22 }, { rate = 0.23 }"), OWN, "media.oil.schedule", "rises with size at 1000"),
    (edited(OWN, "exponent = 0.6", "exponent = 1.1"), OWN, "media.print.schedule", "from the smallest on"),
    (edited(OWN, 'kind = "stepped", bands = [' + BANDS, 'kind = "graduated", bands = [{ to = 900, rate = 0.2 }, { rate = 0.3 }'),
     OWN, "media.oil.schedule", "from 900 on"),
    (edited(OWN, "base = 1, rate = 0.001", "base = 9, rate = 0.01"), OWN, "media.oil.hours", "at none of its sizes in quay"),
    (edited(HOUSE, "step = 500 }", "step = 10000 }"), HOUSE, "fx.JPY.rounding", "from parity"),
    (edited(HOUSE, MARK_UP, MARK_UP + "\nframe_first = true"), HOUSE, "outlets.fair.frame_first", "takes no commission"),
    (edited(HOUSE, MARK_UP, MARK_UP + "\ntax_on_commission = { percent = 5 }"), HOUSE, "outlets.fair.tax_on_commission", "no effect"),
    (edited(HOUSE, MARK_UP, MARK_UP + '\npayment_fee = { borne_by = "member" }'), HOUSE, "outlets.fair.payment_fee.borne_by", "own fee"),
    (edited(HOUSE, 'share = "split", ', ""), HOUSE, "outlets.quay.discount.member_percent", "same percentage"),
    (edited(OWN, "[increase]", '[costs.glass]\ntitle = "Glass"\ntreatment = "at_cost"\nframe = true\n[increase]'),
     OWN, "costs.glass.frame", "frame is the frame already"),
    (edited(OWN, "octavo = 85", "octavo = 83"), OWN, "media.book.schedule.prices.octavo", "it is asked as 85"),
    (edited(OWN, "octavo = 85", "octavo = 85.005"), OWN, "media.book.schedule.prices.octavo", "more digits"),
    (edited(OWN, 'size = { height = "21", width = "13.5", unit = "cm" }', 'size = { height = "29.7", width = "21", unit = "cm" }'),
     OWN, "media.book.schedule.prices.octavo", "as large as a4"),
    (edited(OWN, 'media = ["book"]', 'media = ["book", "vessel", "study"]\n[formats.a4]\ntitle = "Own"\nstandard = "a5"\nmedia = ["book"]'),
     OWN, "formats.a4.standard", "the format called a4 is a5"),
    (edited(OWN, "prices = { octavo = 85, a4 = 165 }", "prices = { a4 = 165 }"), OWN, "formats.octavo.media[0]", "none for this format"),
    (edited(HOUSE, "on = 2025-01-01", "on = 2025-02-01"), HOUSE, "fx.JPY.on", "later day"),
    (edited(OWN, "yearly_percent = 5", "yearly_percent = 5\nexceptions = { 2025 = 2 }"), OWN, "increase.exceptions.2025", "no effect"),
    ({**FILES, LATER: '[grades]\nopen-work = { kind = "removed" }\n'}, LATER, "grades.open-work", "not there"),
    ({**FILES, LATER: '[media.print]\nschedule = { kind = "flat", rate = 0.2 }\n'}, LATER, "media.print.schedule", "without base_date"),
    ({**FILES, LATER: "[increase]\nbase_date = 2026-06-01\n"}, LATER, "increase.base_date", "by a factor of 0.9524"),
    ({**edited(OWN, "[increase]\nbase_date = 2025-03-01\nyearly_percent = 5\n", ""),
      LATER: "[increase]\nbase_date = 2024-01-01\nyearly_percent = 5\n"}, LATER, "increase.base_date", "2 anniversaries have passed"),
]  # fmt: skip


@pytest.mark.parametrize(("files", "file", "key", "reason"), ALONE, ids=lambda value: str(value)[:50])
def test_warned_alone(files: dict[str, str], file: str, key: str, reason: str) -> None:
    checked = check(files)
    assert checked.refusals == ()
    assert checked.book is not None
    assert [(f.file, f.key, f.warning) for f in checked.faults] == [(file, key, True)], checked.faults
    assert reason in checked.faults[0].reason


@pytest.mark.parametrize("files", [
    {**FILES, LATER: '[increase]\nbase_date = 2026-06-01\n[media.print]\nschedule = { kind = "flat", rate = 0.2 }\n'},
    edited(OWN, "base = 1, rate = 0.001", "base = 4, rate = 0.001"),  # missed at 1000 cm2, met at 4000
    edited(OWN, "price = 180", "price = 210"),  # a length: its price rises faster than it, and slower than its square
])  # fmt: skip
def test_not_warned(files: dict[str, str]) -> None:
    assert check(files).faults == ()


def test_the_command_line(tmp_path: Path) -> None:
    """0 and a word of praise; 0 with warnings, 1 with --strict; 1 with refusals, grouped by file; JSON for machines."""
    good, doubtful, bad = (tmp_path / name for name in ("good", "doubtful", "bad"))
    write(good, FILES)
    write(doubtful, edited(OWN, "exponent = 0.6", "exponent = 1.1"))
    write(bad, edited(OWN, "minimum = 60", "minimum = 61"))
    run = {name: CliRunner().invoke(main, ["check-rules", str(folder), *more]) for name, folder, *more in (
        ("good", good, "--strict"), ("doubtful", doubtful), ("strict", doubtful, "--strict"), ("bad", bad), ("json", bad, "--json"),
    )}  # fmt: skip
    assert {name: result.exit_code for name, result in run.items()} == {"good": 0, "doubtful": 0, "strict": 1, "bad": 1, "json": 1}
    assert run["good"].output == "These rules hold together.\n"
    assert run["doubtful"].output.splitlines()[0] == OWN
    assert run["doubtful"].output.endswith("0 refused, 1 warnings.\n")
    assert run["bad"].output.splitlines()[1].startswith("  refused  line 7  media.oil.minimum: a minimum lies on")
    assert json.loads(run["json"].output)[0] | {"reason": ""} == {
        "file": OWN, "key": "media.oil.minimum", "reason": "", "warning": False, "line": 7,
    }  # fmt: skip
