"""An edition: what each number asks as it sells through its steps, its proofs, and the run's costs and hours spread over it.

Knows nothing of outlets; what a run brings in them stands in `run.py`.
"""

from datetime import date
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from msgspec import Struct

from evenhang.engine.checks.catalogue import EditionNumber
from evenhang.engine.money import HUNDRED, ONE, ZERO, Money, Ratio, exact, figure, in_percent, money, numeral, share_out
from evenhang.engine.quote import Line, Price, price_work
from evenhang.engine.refusals import Missing, NotOffered, OutOfRange, Refusal
from evenhang.engine.rounding import to_grid
from evenhang.engine.rules import CopyKind, EditionStep, EditionTerms, RuleSet
from evenhang.engine.saying import Said, reckon, say
from evenhang.engine.works import Work

# How many copies still count as a work of art for value added tax: Directive 2006/112/EC, Annex IX, Part A.
COPIES: dict[CopyKind, tuple[int, Said]] = {
    "photograph": (30, say("photographs")),
    "sculpture-cast": (8, say("casts of a sculpture")),
    "tapestry": (8, say("tapestries")),
    "enamel": (8, say("enamels")),
}
HOUR_UNIT = Decimal("0.000001")


class StepPrice(Struct, frozen=True):
    """The numbers of one step, and what each of them asks."""

    from_number: int
    to_number: int
    factor: Ratio
    price: Money
    lines: tuple[Line, ...]


class NumberedCopy(Struct, frozen=True):
    """One number: its price, and its part of the run's costs and hours."""

    number: int
    price: Money
    run_cost: Money
    run_hours: Ratio


class Proofs(Struct, frozen=True):
    """The artist's proofs, outside the numbering: how many, how many there may be, and what they ask."""

    count: int
    most: int
    factor: Ratio
    price: Money
    lines: tuple[Line, ...]
    total: Money


class CopyLimit(Struct, frozen=True):
    """How many copies a law still counts as works of art, against the run's, proofs counted with the numbers."""

    kind: CopyKind
    most: int
    copies: int
    within: bool
    note: str


class Edition(Struct, frozen=True):
    """An edition, priced. The copies' run costs and hours sum to the run's, to the last cent; `total` is all numbers sold."""

    numbers: int
    steps: tuple[StepPrice, ...]
    copies: tuple[NumberedCopy, ...]
    proofs: Proofs
    total: Money
    run_cost: Money
    run_hours: Ratio
    copy_limit: CopyLimit | None


@exact
def price_edition(
    rules: RuleSet, work: Work, numbers: int, proofs: int, run_cost: Decimal, run_hours: Decimal, on: date
) -> tuple[Edition, Price]:
    """The edition on the day `on`, and the ordinary price of one copy, which is that of number 1.

    `work` is one copy with its own costs and hours; `run_cost`, in the member's currency, and `run_hours` are those of
    the whole run, spread evenly over the numbers: proofs may never be sold and carry nothing. NotOffered for a medium
    without edition terms, OutOfRange for too many numbers or proofs; refusals of the work point under /work.
    """
    terms = rules.medium(work.medium, "/work/medium").edition
    if terms is None:
        detail = say('This member sells no editions of "{medium}" on that day.', medium=work.medium)
        raise NotOffered(detail, "/work/medium", say("Quote it as one work."))
    most = most_proofs(terms, numbers)
    _check_counts(terms, numbers, proofs, most)
    price = _priced(rules, work, on)
    steps = _steps(rules, work.medium, terms, price, numbers)
    each = [step.price for step in steps for _ in range(step.from_number, step.to_number + 1)]
    costs = share_out(run_cost, [ONE] * numbers, rules.unit)
    hours = share_out(run_hours, [ONE] * numbers, HOUR_UNIT)
    copies = tuple(
        NumberedCopy(n, asked, money(cost, rules.currency), figure(hour))
        for n, asked, cost, hour in zip(range(1, numbers + 1), each, costs, hours, strict=True)
    )
    edition = Edition(
        numbers=numbers,
        steps=steps,
        copies=copies,
        proofs=_proofs(rules, work.medium, terms, price, proofs, most),
        total=money(sum((asked.amount for asked in each), ZERO), rules.currency),
        run_cost=money(run_cost, rules.currency),
        run_hours=figure(run_hours),
        copy_limit=copy_limit(terms.copies_as, numbers, proofs),
    )
    return edition, price


def _priced(rules: RuleSet, work: Work, on: date) -> Price:
    try:
        return price_work(rules, work, on)
    except Refusal as refusal:
        raise refusal.under("/work") from None


def _check_counts(terms: EditionTerms, numbers: int, proofs: int, most: int) -> None:
    if terms.most_numbers is not None and numbers > terms.most_numbers:
        detail = say("The most numbers of an edition of this medium: {n}.", n=terms.most_numbers)
        raise OutOfRange(detail, "/numbers", say("Make a smaller edition."))
    if proofs > most:
        share = in_percent(terms.proofs_percent)
        detail = say("The most artist's proofs, {percent} of the numbers ({numbers}): {most}.", percent=share, numbers=numbers, most=most)
        raise OutOfRange(detail, "/proofs", say("Pull at most {most}.", most=most))


@exact
def most_proofs(terms: EditionTerms, numbers: int) -> int:
    """How many artist's proofs an edition may have: whole copies within the percentage of its numbers."""
    return int((numbers * terms.proofs_percent / HUNDRED).to_integral_value(ROUND_FLOOR))


@exact
def first_number(step: EditionStep, numbers: int) -> int:
    """The number with which a step begins: said outright, or the first one once at least that percentage is sold."""
    if step.from_number is not None:
        return step.from_number
    return int((numbers * (step.sold_percent or ZERO) / HUNDRED).to_integral_value(ROUND_CEILING)) + 1


def step_factor(terms: EditionTerms, number: int, numbers: int | None) -> Decimal:
    """The factor of the step that a number falls into, of an edition of that many.

    Missing where it hangs on the part sold and nobody says of how many; OutOfRange for a number beyond the edition.
    """
    if number == 1:
        return ONE  # a step begins after it, of however many
    if numbers is None:
        if any(step.from_number is None for step in terms.steps):
            detail = say("The steps of this edition begin by the part sold, and it is not said how many numbers it has.")
            raise Missing(detail, "/numbers", say("Add {field}.", field="numbers"))
    elif number > numbers:
        detail = say("Number {n} is beyond the edition, which has {numbers}.", n=number, numbers=numbers)
        raise OutOfRange(detail, "/number", say("Give its number within the edition."))
    factor = ONE
    for step in terms.steps:
        if first_number(step, numbers or 0) <= number:
            factor = step.factor
    return factor


def _steps(rules: RuleSet, medium: str, terms: EditionTerms, price: Price, numbers: int) -> tuple[StepPrice, ...]:
    """The steps that this edition reaches. Of several that begin with one number, as in a small edition, the last holds."""
    begins = {1: ONE}
    for step in terms.steps:
        first = first_number(step, numbers)
        if first <= numbers:
            begins[first] = step.factor
    out = []
    for first, end in zip(begins, [*list(begins)[1:], numbers + 1], strict=True):
        label = say("From number {n} on", n=first)
        asked, lines = at_factor(rules, price, begins[first], label, f"media.{medium}.edition.steps")
        out.append(StepPrice(first, end - 1, figure(begins[first]), money(asked, rules.currency), lines))
    return tuple(out)


def _proofs(rules: RuleSet, medium: str, terms: EditionTerms, price: Price, count: int, most: int) -> Proofs:
    asked, lines = at_factor(rules, price, terms.proof_factor, say("Artist's proof"), f"media.{medium}.edition.proof_factor")
    each = money(asked, rules.currency)
    return Proofs(count, most, figure(terms.proof_factor), each, lines, money(asked * count, rules.currency))


def at_its_step(rules: RuleSet, price: Price, medium: str, edition: EditionNumber | None) -> tuple[Decimal, Decimal]:
    """What a numbered work asks, and the factor of its step; the retail price itself, and 1, for a work that is no edition's.

    Refusals, those of `step_factor`, point under /edition.
    """
    terms = rules.medium(medium).edition
    if edition is None or terms is None:
        return price.retail, ONE
    try:
        factor = step_factor(terms, edition.number, edition.numbers)
    except Refusal as refusal:
        raise refusal.under("/edition") from None
    retail, _ = at_factor(rules, price, factor, say("From number {n} on", n=edition.number), f"media.{medium}.edition.steps")
    return retail, factor


@exact
def at_factor(rules: RuleSet, price: Price, factor: Decimal, label: str, path: str) -> tuple[Decimal, tuple[Line, ...]]:
    """The retail price with its art part times `factor`, and its lines; charged costs stay as they are. Rounded anew."""
    if factor == ONE:
        return price.retail, price.lines
    currency = rules.currency
    words = reckon("{art} x ({factor} - 1)", art=numeral(price.art), factor=numeral(factor))
    kept = [line for line in price.lines if line.code != "rounding"]
    kept.append(Line("edition", label, money(price.art * (factor - ONE), currency), rules.origin(path), words))
    whole = sum((line.amount.amount for line in kept), ZERO)
    retail = to_grid(rules.rounding(currency), whole)
    if retail != whole:
        rounding = money(retail - whole, currency)
        words = say("{exact} to {rounded}", exact=numeral(whole), rounded=numeral(retail))
        kept.append(Line("rounding", say("Rounding"), rounding, rules.origin("rounding"), words))
    return retail, tuple(kept)


def copy_limit(kind: CopyKind | None, numbers: int, proofs: int) -> CopyLimit | None:
    """The run against the number of copies that still count as works of art in the EU; None where the rules name no kind."""
    if kind is None:
        return None
    most, plural = COPIES[kind]
    copies = numbers + proofs
    within = copies <= most
    law = say(
        "For {copies}, Directive 2006/112/EC (Annex IX) counts at most {most} copies as works of art for value added tax.",
        copies=plural,
        most=most,
    )
    run = say("Numbers: {numbers}, proofs: {proofs}, in all: {copies}.", numbers=numbers, proofs=proofs, copies=copies)
    verdict = say("This run is within it.") if within else say("This run has more than that.")
    proviso = say("Whether proofs count is for local law to say.")
    return CopyLimit(
        kind, most, copies, within, reckon("{law} {run} {verdict} {proviso}", law=law, run=run, verdict=verdict, proviso=proviso)
    )
