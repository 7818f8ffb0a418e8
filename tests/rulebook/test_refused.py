"""What is refused before it is served: each fault alone, in an otherwise sound folder, with its file, exact key and reason."""

import pytest
from tests.rulebook.folders import FILES, HOUSE, LATER, OWN, check, edited

from evenhang.rulebook.book import check_files
from evenhang.rulebook.folder import RuleFile

OIL = 'schedule = { kind = "stepped", bands = [{ to = 1000, rate = 0.22 }, { to = 4000, rate = 0.19 }, { rate = 0.16 }] }'
STEPS = "steps = [{ below = 200, step = 5 }, { below = 1000, step = 10 }, { step = 50 }]"
POINTS = "points = [{ measure = 10, price = 100 }, { measure = 20, price = 180 }, { measure = 40, price = 300 }]"
TERMS = 'terms = { kind = "commission", percent = 45 }'
ESTIMATE = 'estimate = { kind = "estimate", measure = "united", schedule = { kind = "flat", base = 12, rate = 0.35 } }'

ALONE = [
    # unknown keys, with the near name
    (OWN, "minimum = 60", "minimun = 60", "media.oil.minimun", 'did you mean "minimum"?'),
    (OWN, "factor = 1.2", "factor = 1.2\ncolour = 3", "grades.close-work.colour", "unknown key"),
    (HOUSE, "levy_percent = 2", "levy_precent = 2", "levy_precent", 'did you mean "levy_percent"?'),
    (HOUSE, "member_percent = 50,", "members_percent = 50,", "outlets.quay.discount.members_percent", "did you mean"),
    (HOUSE, '{ kind = "commission", percent = 45 }', '{ kind = "comission", percent = 45 }', "outlets.quay.terms.kind", '"commission"?'),
    (OWN, "{ to = 4000, rate = 0.19 }", "{ to = 4000, rat = 0.19, rate = 0.19 }", "media.oil.schedule.bands[1].rat", 'mean "rate"?'),
    # wrong types, NaN and Infinity, negative figures, too many digits
    (OWN, "factor = 1.2", 'factor = "much"', "grades.close-work.factor", "no figure"),
    (OWN, "factor = 1.2", "factor = nan", "grades.close-work.factor", "no figure"),
    (OWN, "factor = 1.2", 'factor = "NaN"', "grades.close-work.factor", "no figure"),
    (OWN, "factor = 1.2", "factor = -inf", "grades.close-work.factor", "no figure"),
    (OWN, "factor = 1.2", "factor = true", "grades.close-work.factor", "expected a figure"),
    (OWN, "factor = 1.2", "factor = -1.2", "grades.close-work.factor", "negative"),
    (OWN, "factor = 1.2", "factor = 1e999999999", "grades.close-work.factor", "more than 12 digits"),
    (OWN, "factor = 1.2", "factor = 1e999999999999999999999", "grades.close-work.factor", "more than 12 digits"),
    (OWN, "factor = 1.2", "factor = -1e-999999999999999999999", "grades.close-work.factor", "more than 12 digits"),
    (OWN, "factor = 1.2", f"factor = 0x{'f' * 4000}", "grades.close-work.factor", "more than 12 digits"),
    (HOUSE, 'kind = "included"', f"kind = 0x{'f' * 4000}", "tax.kind", "a number is no kind here"),
    (HOUSE, "[rounding]", f"[rounding]\ndirection = 0x{'f' * 4000}", "rounding.direction", "a number is not one of"),
    (OWN, "factor = 1.2", "factor = 0.1234567890123", "grades.close-work.factor", "more than 12 digits"),
    (OWN, "{ rate = 0.16 }", "{ rate = -0.16 }", "media.oil.schedule.bands[2].rate", "negative"),
    (OWN, 'title = "Oil"', "title = 5", "media.oil.title", "expected text, got a number"),
    (OWN, 'title = "Oil"', 'title = "Oil\\nand more"', "media.oil.title", "line break"),
    (OWN, 'title = "Oil"', f'title = "{"x" * 201}"', "media.oil.title", "more than 200 characters"),
    (OWN, "frame = true", 'frame = "yes"', "costs.frame.frame", "true or false"),
    (OWN, "base_date = 2025-03-01", "base_date = 2025-03-01T10:00:00", "increase.base_date", "expected a day"),
    (OWN, "base_date = 2025-03-01", 'base_date = "2026-W01-1"', "increase.base_date", "expected a day"),
    (OWN, "base_date = 2025-03-01", 'base_date = "20250301xx"', "increase.base_date", "expected a day"),
    (OWN, "base_date = 2025-03-01", 'base_date = "2025-02-30"', "increase.base_date", "expected a day"),
    (OWN, 'measure = "height"', 'measure = "heigth"', "media.vessel.measure", 'did you mean "height"?'),
    (OWN, '["studio", "quay", "fair"]', '"studio"', "sells_in", "expected a list"),
    (OWN, "[grades.close-work]", "[grades.Close_Work]", "grades.Close_Work", "is no name"),
    (OWN, OIL, "schedule = 5", "media.oil.schedule", "expected a table"),
    # what is missing
    (OWN, OIL, "", "media.oil.schedule", "missing"),
    (OWN, 'title = "Thimble Yard"', "", "title", "missing"),
    (OWN, "{ rate = 0.16 }", "{ }", "media.oil.schedule.bands[2].rate", "missing"),
    (HOUSE, '{ kind = "commission", percent = 45 }', '{ kind = "commission" }', "outlets.quay.terms.percent", "missing"),
    # bands
    (OWN, "{ to = 4000, rate = 0.19 }", "{ to = 900, rate = 0.19 }", "media.oil.schedule.bands[1].to", "900 is not over 1000"),
    (OWN, "{ to = 1000, rate = 0.22 }", "{ rate = 0.22 }", "media.oil.schedule.bands[0].to", "only the last band is open"),
    (OWN, "{ rate = 0.16 }", "{ to = 9000, rate = 0.16 }", "media.oil.schedule.bands[2].to", "the last band is open"),
    (OWN, OIL, 'schedule = { kind = "graduated", bands = [] }', "media.oil.schedule.bands", "at least 1"),
    (OWN, OIL, 'schedule = { kind = "graduated", bands = [{ rate = 0 }] }', "media.oil.schedule.bands", "every price would be 0"),
    (OWN, OIL, 'schedule = { kind = "flat", rate = 0 }', "media.oil.schedule.rate", "every price would be 0"),
    (OWN, OIL, 'schedule = { kind = "flat", rate = 2, per = "cm" }', "media.oil.schedule.per", "does not fit the measure area"),
    (OWN, OIL, 'schedule = { kind = "time", hourly_rate = 40 }', "media.oil.schedule.kind", "prices hours"),
    # power
    (OWN, "exponent = 0.6", "exponent = 2.1", "media.print.schedule.exponent", "at most 2"),
    (OWN, "exponent = 0.6", "exponent = 0", "media.print.schedule.exponent", "over 0"),
    (OWN, "reference_price = 120", "reference_price = 0", "media.print.schedule.reference_price", "over 0"),
    (OWN, "reference_measure = 600", "reference_measure = 0", "media.print.schedule.reference_measure", "over 0"),
    # points
    (OWN, "price = 180", "price = 90", "media.vessel.schedule.points[1].price", "a larger work would cost less: 90 after 100"),
    (OWN, "measure = 20", "measure = 10", "media.vessel.schedule.points[1].measure", "sizes must rise"),
    (OWN, "price = 100", "price = 0", "media.vessel.schedule.points[0].price", "over 0"),
    (OWN, "price = 300", "price = 721", "media.vessel.schedule.points[2].price", "steeper than exponent 2"),
    (OWN, POINTS, "points = [{ measure = 10, price = 100 }, { measure = 20, price = 401 }, { measure = 40, price = 500 }]",
     "media.vessel.schedule.points[1].price", "steeper than exponent 2"),
    (OWN, POINTS, "points = [{ measure = 10, price = 100 }]", "media.vessel.schedule.points", "at least 2"),
    # listed
    (OWN, "octavo = 85", "octavo = 0", "media.book.schedule.prices.octavo", "over 0"),
    (OWN, "octavo = 85", "octavo = 185", "media.book.schedule.prices.a4", "a larger work would cost less: 165"),
    (OWN, "octavo = 85, a4", "octavo = 85, folio = 95, a4", "media.book.schedule.prices.folio", "no format"),
    (OWN, "prices = { octavo = 85, a4 = 165 }", "prices = {}", "media.book.schedule.prices", "at least one"),
    # rounding and minimum
    (HOUSE, "below = 200, step = 5", "below = 205, step = 5", "rounding.steps[0].below", "no multiple of the step 10"),
    (HOUSE, "below = 1000, step = 10", "below = 1020, step = 10", "rounding.steps[1].below", "no multiple of the step 50"),
    (HOUSE, "{ step = 50 }]", "{ step = 0 }]", "rounding.steps[2].step", "over 0"),
    (HOUSE, "step = 5 }", "step = 0.005 }", "rounding.steps[0].step", "minor unit"),
    (HOUSE, "below = 50000", "below = 50500", "fx.JPY.rounding.steps[0].below", "no multiple"),
    (HOUSE, "step = 500 }", "step = 0.5 }", "fx.JPY.rounding.steps[0].step", "JPY's minor unit"),
    (OWN, "minimum = 60", "minimum = 61", "media.oil.minimum", "rounding grid"),
    (OWN, "minimum = 60", "minimum = 0", "media.oil.minimum", "over 0"),
    # outlets and money
    (HOUSE, TERMS, 'terms = { kind = "commission", percent = 85 }', "outlets.quay.terms", "nothing is left"),
    (HOUSE, "tax_on_commission = { percent = 20 }", "tax_on_commission = { percent = 150 }", "outlets.quay.terms", "nothing is left"),
    (HOUSE, TERMS, 'terms = { kind = "purchase", percent = 2 }', "outlets.quay.terms", "nothing is left"),
    (HOUSE, TERMS, 'terms = { kind = "purchase", percent = 101 }', "outlets.quay.terms.percent", "at most the retail price"),
    (HOUSE, "member_percent = 50", "member_percent = 150", "outlets.quay.discount.member_percent", "at most 100 %"),
    (HOUSE, "limit_percent = 10", "limit_percent = 110", "outlets.quay.discount.limit_percent", "at most 100 %"),
    (HOUSE, "[fx.JPY]", "[fx.CHF]", "outlets.fair.currency", "fx.JPY is missing"),
    (HOUSE, 'currency = "JPY"', 'currency = "XAU"', "outlets.fair.currency", "ISO 4217"),
    (HOUSE, 'currency = "EUR"', 'currency = "EUX"', "currency", "ISO 4217"),
    (HOUSE, "rate = 160", "rate = 0", "fx.JPY.rate", "a rate of 0"),
    (HOUSE, "[fx.JPY]", "[fx.EUR]\nrate = 1\non = 2025-01-01\n[fx.JPY]", "fx.EUR", "own currency"),
    (OWN, '"fair"]', '"nowhere"]', "sells_in[2]", "nobody defined"),
    (OWN, '"fair"]', '"studio"]', "sells_in[2]", "stands twice"),
    (OWN, '["studio", "quay", "fair"]', "[]", "sells_in", "in no outlet"),
    (OWN, "title = \"Octavo\"\n", "title = \"Octavo\"\nstandard = \"a4\"\n", "formats.octavo", "not both"),
    (OWN, 'size = { height = "21", width = "13.5", unit = "cm" }', 'standard = "a4x"', "formats.octavo.standard", "no standard format"),
    (OWN, 'height = "21"', 'height = "0"', "formats.octavo.size.height", "no size"),
    (OWN, 'unit = "cm"', 'unit = "km"', "formats.octavo.size.unit", "is not one of"),
    (OWN, 'media = ["book"]', 'media = ["bock"]', "formats.octavo.media[0]", "nobody defined"),
    # costs, hours, grades, earning, bands, years
    (OWN, "percent = 20\n", 'percent = "a lot"\n', "costs.frame.percent", "no figure"),
    (OWN, "percent = 20\n", "", "costs.frame.percent", "missing"),
    (OWN, 'treatment = "marked_up"', 'treatment = "at_cost"', "costs.frame.percent", "goes with marked_up"),
    (OWN, "frame = true", "show_at_cost = true", "costs.frame.show_at_cost", "goes with at_cost"),
    (OWN, ESTIMATE, 'estimate = { kind = "estimate", measure = "area", schedule = { kind = "listed", prices = { a4 = 5 } } }',
     "costs.frame.estimate.schedule.kind", "a listed one has none"),
    (OWN, ESTIMATE, 'estimate = { kind = "estimate", measure = "hours", schedule = { kind = "flat", rate = 5 } }',
     "costs.frame.estimate.measure", "never by its hours"),
    (OWN, "base = 12, rate = 0.35", 'base = 12, rate = 0.35, per = "cm2"', "costs.frame.estimate.schedule.per", "does not fit"),
    (OWN, "base = 1, rate = 0.001", "base = 0, rate = 0", "media.oil.hours.rate", "no time"),
    (OWN, "base = 1, rate = 0.001", 'base = 1, rate = 1, per = "cm3"', "media.oil.hours.per", "does not fit"),
    (OWN, "hourly_rate = 46 }", 'hourly_rate = 46 }\nhours = { kind = "flat", rate = 1 }', "media.study.hours", "own hours"),
    (OWN, "factor = 1.2", "factor = 0", "grades.close-work.factor", "over 0"),
    (OWN, "hourly_floor = 18", "hourly_floor = 31", "earning.hourly_floor", "over the target"),
    (HOUSE, "below = 300", "below = 0", "bands[0].below", "must rise"),
    (HOUSE, 'title = "a present"\nbelow = 300', 'title = "a present"', "bands[0].below", "only the last"),
    (OWN, "yearly_percent = 5", "yearly_percent = 5\nexceptions = { soon = 2 }", "increase.exceptions.soon", "no calendar year"),
    (OWN, "yearly_percent = 5", "yearly_percent = 101", "increase.yearly_percent", "at most 100 %"),
    (OWN, "yearly_percent = 5", "yearly_percent = 5\nexceptions = { 2027 = 200 }", "increase.exceptions.2027", "at most 100 %"),
    (OWN, "base_date = 2025-03-01", "base_date = 0205-03-01", "increase.base_date", "is the year right"),
    (HOUSE, "levy_percent = 2", 'locale = "not a tag"', "locale", "no language tag"),
    (HOUSE, "levy_percent = 2", 'time_zone = "Moor/Town"', "time_zone", "no time zone"),
]  # fmt: skip


def test_the_folder_itself_is_sound() -> None:
    checked = check(FILES)
    assert checked.faults == ()
    assert checked.book is not None


@pytest.mark.parametrize(("file", "old", "new", "key", "reason"), ALONE, ids=lambda value: str(value)[:40])
def test_refused_alone_with_file_key_and_reason(file: str, old: str, new: str, key: str, reason: str) -> None:
    refusals = check(edited(file, old, new)).refusals
    assert [(f.file, f.key) for f in refusals] == [(OWN if key == "title" else file, key)], refusals
    assert reason in refusals[0].reason


@pytest.mark.parametrize(("file", "old", "new", "key", "line"), [
    (OWN, "minimum = 60", "minimun = 60", "media.oil.minimun", 7),
    (HOUSE, "below = 300", "below = 0", "bands[0].below", 13),
    (HOUSE, "step = 500 }", "step = 0.5 }", "fx.JPY.rounding.steps[0].step", 37),
    (OWN, OIL, "", "media.oil.schedule", 4),
])  # fmt: skip
def test_the_line_is_told(file: str, old: str, new: str, key: str, line: int) -> None:
    assert [(f.key, f.line) for f in check(edited(file, old, new)).refusals] == [(key, line)]


def test_all_faults_at_once_and_none_hides_another() -> None:
    """In one medium, beside one another, and in names that refer to one another: seven faults are seven faults."""
    files = dict(FILES)
    for file, old, new in (
        (OWN, "minimum = 60", "minimun = 60"), (OWN, "{ to = 4000, rate = 0.19 }", "{ to = 900, rate = 0.19 }"),
        (OWN, "base = 1, rate = 0.001", "base = 1, rate = nan"), (OWN, "factor = 1.2", "factor = -1.2"),
        (OWN, '"fair"]', '"nowhere"]'), (HOUSE, "rate = 160", "rate = 0"), (HOUSE, "percent = 60", "percent = true"),
    ):  # fmt: skip
        files[file] = files[file].replace(old, new)
    assert sorted(f.key for f in check(files).refusals) == [
        "fx.JPY.rate", "grades.close-work.factor", "media.oil.hours.rate", "media.oil.minimun", "media.oil.schedule.bands[1].to",
        "outlets.fair.terms.percent", "sells_in[2]",
    ]  # fmt: skip


def test_an_outlet_that_does_not_fit_is_not_called_undefined_too() -> None:
    assert [f.key for f in check(edited(HOUSE, "percent = 60", "percent = true")).refusals] == ["outlets.fair.terms.percent"]


def test_a_fault_of_the_house_is_told_once_for_all_members_and_days() -> None:
    files = edited(HOUSE, "rate = 160", "rate = 0")
    files |= {"members/moss-end/2025-02-01.toml": FILES[OWN], LATER: 'title = "Thimble Yard and Daughters"\n'}
    assert [(f.file, f.key) for f in check(files).refusals] == [(HOUSE, "fx.JPY.rate")]


def test_a_layer_is_refused_for_what_a_later_one_replaces() -> None:
    """Nobody ever sees the house's title, and it is wrong all the same."""
    assert [(f.file, f.key) for f in check(edited(HOUSE, "levy_percent = 2", "levy_percent = 2\ntitle = 5")).refusals] == [(HOUSE, "title")]


def test_a_fault_that_two_files_make_is_laid_on_the_one_that_sets_the_value() -> None:
    files = {**FILES, "house/2026-01-01.toml": "[rounding]\nsteps = [{ step = 50 }]\n"}
    assert [(f.file, f.key) for f in check(files).refusals] == [(OWN, "media.oil.minimum")]


def test_what_a_removal_leaves_wanting_is_told_of_the_removal() -> None:
    (fault,) = check({**FILES, LATER: '\n[media.print]\nschedule = { kind = "removed" }\n'}).refusals
    assert (fault.file, fault.key, fault.line) == (LATER, "media.print.schedule", 3)


@pytest.mark.parametrize("house", ["currency = ", "\udcff", 'currency = "EUR"\ncurrency = "EUR"'])
def test_what_may_stand_in_a_file_that_cannot_be_read_is_not_missing(house: str) -> None:
    files = [RuleFile(HOUSE, house.encode("utf-8", "surrogateescape")), RuleFile(OWN, FILES[OWN].encode())]
    assert {f.file for f in check_files(files).refusals} == {HOUSE}


def test_days_before_a_file_that_cannot_be_read_are_judged() -> None:
    files = edited(OWN, "minimum = 60", "minimum = 61") | {LATER: "title = ", "members/thimble-yard/2026-07-01.toml": "sells_in = ['no']"}
    assert [(f.file, f.key) for f in check(files).refusals] == [(LATER, ""), (OWN, "media.oil.minimum")]


def test_a_byte_order_mark_is_read_past() -> None:
    assert check({**FILES, HOUSE: "\ufeff" + FILES[HOUSE]}).faults == ()


@pytest.mark.parametrize(("text", "keys"), [
    ("[increase]\nyearly_percent = 8\n", ["increase.yearly_percent"]),
    ("[increase]\nyearly_percent = 8\nexceptions = { 2026 = 6 }\n", ["increase.exceptions.2026"]),
    ("[increase]\nyearly_percent = 8\nexceptions = { 2026 = 5 }\n", []),
    ("[increase]\nyearly_percent = 8\nbase_date = 2026-06-01\n", []),
])  # fmt: skip
def test_history_is_not_rewritten(text: str, keys: list[str]) -> None:
    """The anniversary of 2025-03-01 in 2026 has passed with 5 % when the file of June 2026 comes."""
    refusals = check({**FILES, LATER: text}).refusals
    assert [(f.file, f.key) for f in refusals] == [(LATER, key) for key in keys]
    assert all("rewrites 2026" in f.reason for f in refusals)


def test_an_increase_is_not_taken_back() -> None:
    """Stopped from a day on it may be; taken away after an anniversary, prices would fall."""
    (fault,) = check({**FILES, LATER: 'increase = { kind = "removed" }\n'}).refusals
    assert (fault.file, fault.key) == (LATER, "increase")
    assert "yearly_percent = 0" in fault.reason
    assert check({**FILES, LATER: "[increase]\nbase_date = 2026-06-01\nyearly_percent = 0\n"}).refusals == ()
    sooner = {**FILES, "members/thimble-yard/2026-02-01.toml": 'increase = { kind = "removed" }\n'}
    assert check(sooner).refusals == ()  # nothing has grown yet


def test_every_rewritten_year_is_told() -> None:
    files = {**FILES, "members/thimble-yard/2028-06-01.toml": "[increase]\nyearly_percent = 8\nexceptions = { 2027 = 5 }\n"}
    assert [f.reason.split(",")[0] for f in check(files).refusals] == ["rewrites 2026", "rewrites 2028"]


def test_steep_ends_are_judged_exactly() -> None:
    """180 x (40 / 20) ^ 2 = 720 is exponent 2 to the last digit, which a logarithm would not say."""
    assert check(edited(OWN, "price = 300", "price = 720")).refusals == ()
