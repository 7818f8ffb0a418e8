"""Laws under any rules that the loader accepts: sums, order, independence, sameness; and of any set that it does not."""

import contextlib
import datetime
import tomllib
from decimal import Decimal as D
from typing import Any

import msgspec
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.rulesets import DAYS, books, figures, folders, loaded, mutated, rule_sets, sized, toml, works

from evenhang.engine.money import ZERO
from evenhang.engine.quote import price_work, settle_everywhere, tax_of
from evenhang.engine.refusals import Missing, OutOfRange, Unknown
from evenhang.engine.rounding import on_grid
from evenhang.engine.rules import RuleSet
from evenhang.engine.settlement import settle
from evenhang.engine.works import Work
from evenhang.rulebook.book import RuleBook, check_files
from evenhang.rulebook.folder import RuleFile

LAWS = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
FEW = settings(LAWS, max_examples=15)
days = st.dates(DAYS[0], datetime.date(2031, 12, 31))


def holds(rules: RuleSet, work: Work, on: datetime.date, discount: D = ZERO) -> None:
    """The sums of one quote: lines to the price, shares to what the buyer paid; the price on the grid and never under the minimum."""
    price = price_work(rules, work, on)
    assert sum(line.amount.amount for line in price.lines) == price.retail > 0
    assert on_grid(rules.rounding(rules.currency), price.retail)
    minimum = rules.rules.media[work.medium].minimum
    assert minimum is None or price.retail >= minimum
    assert all(line.rule.layer != "default" for line in price.lines if not line.code.startswith("rounding"))
    tax_of(rules, price.retail)
    for settled in settle_everywhere(rules, price):
        assert sum(share.amount.amount for share in settled.shares) == settled.buyer_pays.amount
        again = settle(rules, settled.outlet, settled.steps[0].amount.amount, discount, price.costs, price.hours)
        assert sum(share.amount.amount for share in again.shares) == again.buyer_pays.amount


@LAWS
@given(st.data())
def test_every_medium_of_every_set_is_priced_and_adds_up(data: st.DataObject) -> None:
    rules = data.draw(rule_sets())
    for name in rules.rules.media:
        holds(rules, data.draw(works(rules, name)), data.draw(days), data.draw(figures("0", "100")))


@LAWS
@given(st.data())
def test_a_larger_work_is_never_cheaper(data: st.DataObject) -> None:
    rules, on = data.draw(rule_sets()), data.draw(days)
    for name, medium in rules.rules.media.items():
        smaller, larger = data.draw(sized(name, medium))
        assert price_work(rules, smaller, on).retail <= price_work(rules, larger, on).retail


def quoted(book: RuleBook, member: str, work: Work, on: datetime.date) -> bytes:
    rules = book.in_force(member, on)
    price = price_work(rules, work, on)
    return msgspec.json.encode((rules.digest, price, settle_everywhere(rules, price)), enc_hook=str)


@FEW
@given(st.data())
def test_another_member_and_later_rules_change_nothing(data: st.DataObject) -> None:
    files = data.draw(folders())
    on = data.draw(st.dates(DAYS[0], DAYS[1] - datetime.timedelta(1)))
    whole = loaded(files)
    work = data.draw(works(whole.in_force("ash", on)))
    alone = loaded({path: text for path, text in files.items() if not path.startswith("members/") or path.startswith("members/ash/")})
    early = loaded({path: text for path, text in files.items() if path.endswith(f"{DAYS[0]}.toml")})
    assert quoted(whole, "ash", work, on) == quoted(alone, "ash", work, on) == quoted(early, "ash", work, on)


def backwards(value: Any) -> Any:
    """The same value with the keys of each table the other way round."""
    if isinstance(value, dict):
        return {key: backwards(value[key]) for key in reversed(value)}
    return [backwards(inner) for inner in value] if isinstance(value, list) else value


@FEW
@given(st.data())
def test_same_digest_and_request_same_bytes_in_whatever_order_a_file_says_it(data: st.DataObject) -> None:
    files, on = data.draw(folders(most_members=1)), data.draw(days)
    shuffled = {path: toml(backwards(tomllib.loads(text, parse_float=D))) for path, text in files.items()}
    one, other = loaded(files), loaded(shuffled)
    work = data.draw(works(one.in_force("ash", on)))
    assert quoted(one, "ash", work, on) == quoted(other, "ash", work, on)
    assert tuple(one.in_force("ash", on).rules.media) == tuple(other.in_force("ash", on).rules.media)
    assert one.digest == other.digest


@FEW
@given(books())
def test_every_value_knows_its_file_key_and_day(book: RuleBook) -> None:
    for rules in book.by_digest.values():
        values = book.values(rules)
        assert len({value.path for value in values}) == len(values) > 10
        for value in values:
            assert value.layer.endswith(f"{value.since}.toml")
            assert value.since is not None
            assert value.since <= rules.effective_from
            assert value.layer.startswith(("house/", f"members/{rules.member}/"))


@LAWS
@given(st.data())
def test_a_mutation_is_refused_with_file_and_key_or_obeys_the_laws(data: st.DataObject) -> None:
    files = data.draw(folders(most_members=1))
    broken = data.draw(mutated(files))
    checked = check_files([RuleFile(path, text.encode()) for path, text in broken.items()])
    if checked.book is None:
        assert checked.refusals
        for fault in checked.refusals:
            assert fault.file in broken
            assert fault.key
            assert fault.reason
        return
    for rules in checked.book.by_digest.values():
        for name in rules.rules.media:
            priced_or_declined(rules, data.draw(works(rules, name)), data.draw(days))


def priced_or_declined(rules: RuleSet, work: Work, on: datetime.date) -> None:
    """A mutated set may ask for what the work does not say, such as a canvas number; it may not break."""
    with contextlib.suppress(Missing, OutOfRange, Unknown):
        holds(rules, work, on)


def plain(value: Any) -> Any:
    """A layer as a request sends it: figures as texts."""
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    return value if isinstance(value, (bool, str)) else format(value, "f") if isinstance(value, D) else str(value)


@FEW
@given(st.data())
def test_a_what_if_gives_what_the_same_layer_as_a_file_gives(data: st.DataObject) -> None:
    """Tried on the first rules, or laid on them as a file of the same day of the house: the price is the same, the digest is not."""
    files = {path: text for path, text in data.draw(folders(most_members=1)).items() if path.endswith(f"{DAYS[0]}.toml")}
    base = loaded(files).in_force("ash", DAYS[0])
    mine = tomllib.loads(files[f"members/ash/{DAYS[0]}.toml"], parse_float=D)
    trial = {"grades": {"fine": {"factor": data.draw(figures("0.5", "3"))}}, "levy_percent": data.draw(figures("0", "5"))}
    tried = loaded(files).tried(base, plain(trial))
    fine = mine["grades"]["fine"] | trial["grades"]["fine"]
    as_file = loaded({**files, f"members/ash/{DAYS[0]}.toml": toml({**mine, **trial, "grades": {"fine": fine}})})
    work, on = data.draw(works(base)), data.draw(days)
    same = as_file.in_force("ash", DAYS[0])
    assert price_work(tried, work, on).retail == price_work(same, work, on).retail
    assert (tried.tried, tried.digest != base.digest, tried.effective_from) == (True, True, base.effective_from)
