"""A small rule folder that holds together, to be broken in one place at a time. Everything in it is invented."""

from pathlib import Path

from evenhang.rulebook.book import Checked, check_files
from evenhang.rulebook.folder import RuleFile

HOUSE = "house/2025-01-01.toml"
OWN = "members/thimble-yard/2025-01-01.toml"
LATER = "members/thimble-yard/2026-06-01.toml"
FILES = {
    HOUSE: """\
currency = "EUR"
levy_percent = 2

[tax]
kind = "included"
percent = 10

[rounding]
steps = [{ below = 200, step = 5 }, { below = 1000, step = 10 }, { step = 50 }]

[[bands]]
title = "a present"
below = 300

[[bands]]
title = "a collection"

[outlets.studio]
title = "The workshop's own door"
terms = { kind = "commission", percent = 0 }

[outlets.quay]
title = "Gallery on the quay"
terms = { kind = "commission", percent = 45 }
tax_on_commission = { percent = 20 }
payment_fee = { borne_by = "member", percent = 2 }
discount = { share = "split", member_percent = 50, limit_percent = 10 }

[outlets.fair]
title = "Fair abroad"
currency = "JPY"
terms = { kind = "mark-up", percent = 60 }

[fx.JPY]
rate = 160
on = 2025-01-01
rounding = { steps = [{ below = 50000, step = 500 }, { step = 1000 }] }
""",
    OWN: """\
title = "Thimble Yard"
sells_in = ["studio", "quay", "fair"]

[media.oil]
title = "Oil"
measure = "area"
minimum = 60
schedule = { kind = "stepped", bands = [{ to = 1000, rate = 0.22 }, { to = 4000, rate = 0.19 }, { rate = 0.16 }] }
hours = { kind = "flat", base = 1, rate = 0.001 }

[media.vessel]
title = "Vessel"
measure = "height"
schedule = { kind = "points", points = [{ measure = 10, price = 100 }, { measure = 20, price = 180 }, { measure = 40, price = 300 }] }

[media.print]
title = "Print"
measure = "area"
schedule = { kind = "power", reference_price = 120, reference_measure = 600, exponent = 0.6 }

[media.book]
title = "Book"
measure = "area"
schedule = { kind = "listed", prices = { octavo = 85, a4 = 165 } }

[media.study]
title = "Study"
measure = "hours"
schedule = { kind = "time", hourly_rate = 46 }

[grades.close-work]
title = "Close work"
factor = 1.2

[extras.gilding]
kind = "fixed"
title = "Gilding"
amount = 18

[costs.frame]
title = "Frame"
treatment = "marked_up"
percent = 20
frame = true
estimate = { kind = "estimate", measure = "united", schedule = { kind = "flat", base = 12, rate = 0.35 } }

[increase]
base_date = 2025-03-01
yearly_percent = 5

[earning]
hourly_target = 30
hourly_floor = 18

[formats.octavo]
title = "Octavo"
size = { height = "21", width = "13.5", unit = "cm" }
media = ["book"]
""",
}


def check(files: dict[str, str]) -> Checked:
    """The check of these files, by path and text."""
    return check_files([RuleFile(path, text.encode()) for path, text in files.items()])


def edited(file: str, old: str, new: str) -> dict[str, str]:
    """The folder with one thing in one file replaced."""
    assert FILES[file].count(old) == 1, (old, FILES[file].count(old))
    return {**FILES, file: FILES[file].replace(old, new)}


def write(folder: Path, files: dict[str, str]) -> Path:
    """The files, written below `folder`."""
    for path, text in files.items():
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text)
    return folder
