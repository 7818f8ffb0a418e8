"""What the terms of works made to order, of sets and of editions cannot say.

Knows resolved rules, no files and no layers.
"""

from collections.abc import Iterator

from evenhang.engine.money import HUNDRED, ONE, ZERO, figure
from evenhang.engine.rules import BespokeTerms, EditionStep, EditionTerms, Rules, SetTerms

MOST_OFF = 90  # beyond it a set is given away, and single works of a few cents would ask nothing


def wrong_terms(rules: Rules) -> Iterator[tuple[str, str]]:
    """Key and reason of every term that no order, set or edition could be reckoned by."""
    if rules.bespoke is not None:
        yield from _wrong_stages(rules.bespoke)
    if rules.sets is not None:
        yield from _wrong_sets(rules.sets)
    for name, medium in rules.media.items():
        if medium.edition is not None:
            yield from _wrong_edition(medium.edition, f"media.{name}.edition")


def _wrong_stages(terms: BespokeTerms) -> Iterator[tuple[str, str]]:
    whole = sum((stage.percent for stage in terms.stages), ZERO)
    if whole != HUNDRED:
        yield "bespoke.stages", f"the stages of payment sum to {figure(whole)} %, not to 100 %"
    names = [stage.name for stage in terms.stages]
    for i, stage in enumerate(terms.stages):
        at = f"bespoke.stages[{i}]"
        if stage.name in names[:i]:
            yield f"{at}.name", f'a stage "{stage.name}" stands further up already'
        if stage.cancelled_percent > HUNDRED:
            yield f"{at}.cancelled_percent", "more than the whole price would be due"
        elif i and stage.cancelled_percent < terms.stages[i - 1].cancelled_percent:
            yield f"{at}.cancelled_percent", "a later cancellation would cost less than an earlier one"


def _wrong_sets(terms: SetTerms) -> Iterator[tuple[str, str]]:
    for i, step in enumerate(terms.discounts):
        at = f"sets.discounts[{i}]"
        before = terms.discounts[i - 1] if i else None
        if step.works < 2 or (before is not None and step.works <= before.works):
            yield f"{at}.works", "a set is of two works or more, and each row of more than the row before it"
        if step.percent > MOST_OFF:
            yield f"{at}.percent", f"at most {MOST_OFF} % may be taken off a set"
        elif before is not None and step.percent < before.percent:
            yield f"{at}.percent", "a larger set would get a smaller discount"


def _wrong_edition(terms: EditionTerms, at: str) -> Iterator[tuple[str, str]]:
    if terms.proofs_percent > HUNDRED:
        yield f"{at}.proofs_percent", "more proofs than numbers"
    if terms.proof_factor < ONE:
        yield f"{at}.proof_factor", "a proof would undercut the numbered copies"
    if terms.most_numbers == 0:
        yield f"{at}.most_numbers", "an edition has at least one number"
    for i, step in enumerate(terms.steps):
        before = terms.steps[i - 1] if i else None
        for key, reason in _wrong_step(step, before):
            yield f"{at}.steps[{i}]{key}", reason


def _wrong_step(step: EditionStep, before: EditionStep | None) -> Iterator[tuple[str, str]]:
    if (step.from_number is None) == (step.sold_percent is None):
        yield "", "say where the step begins: either from_number or sold_percent"
        return
    if step.factor < (before.factor if before else ONE):
        yield ".factor", "a later number would be cheaper than an earlier one"
    if before is not None and (before.from_number is None) != (step.from_number is None):
        yield "", "all steps of an edition begin by from_number, or all by sold_percent"
    elif step.from_number is not None and step.from_number <= ((before and before.from_number) or ONE):
        yield ".from_number", "a step begins after number 1 and after the step before it"
    elif step.sold_percent is not None and not ((before and before.sold_percent) or ZERO) < step.sold_percent < HUNDRED:
        yield ".sold_percent", "a step begins after the one before it, and before the whole edition is sold"
