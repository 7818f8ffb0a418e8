"""The resolved rule set: one small struct per kind of rule, and where each value came from.

Knows nothing of files: the rule book lays layers over one another and hands the result in.
Percentages are percent ("40" is 40 %). Amounts are in the member's currency unless a line says otherwise.
"""

from collections.abc import Mapping
from copy import copy
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Annotated, Literal, Self

from msgspec import Meta, Struct, field
from msgspec.structs import replace

from evenhang.engine.money import HUNDRED, ONE, ZERO, minor_unit
from evenhang.engine.refusals import Unknown
from evenhang.engine.schedules import Curve, Flat, Listed, Schedule, Time, curve_of
from evenhang.engine.sizes import DEFAULT_PER, DIMENSION, Measure, Per, Size
from evenhang.engine.works import Name, Title

Party = Literal["member", "outlet", "house"]
CopyKind = Literal["photograph", "sculpture-cast", "tapestry", "enamel"]


class EditionStep(Struct, frozen=True, forbid_unknown_fields=True):
    """A factor on the art from a number on, or from when a percentage of the edition is sold; one of the two is said."""

    factor: Decimal
    from_number: int | None = None
    sold_percent: Decimal | None = None


class EditionTerms(Struct, frozen=True, forbid_unknown_fields=True):
    """How a medium is sold in numbered editions: its price steps, its artist's proofs, and how many there may be."""

    steps: Annotated[tuple[EditionStep, ...], Meta(max_length=20)] = ()
    # Usually up to 10 % of the edition (Hot Bed Press, "House of Prints").
    proofs_percent: Decimal = Decimal(10)
    proof_factor: Decimal = ONE  # on the art of number 1
    most_numbers: int | None = None
    copies_as: CopyKind | None = None  # what it is to the law that counts copies


class Medium(Struct, frozen=True, forbid_unknown_fields=True):
    """How a work is made and on what; each medium is priced on its own schedule."""

    title: Title
    measure: Measure
    schedule: Schedule
    minimum: Decimal | None = None
    round_as: Literal["true-area", "rectangle"] = "true-area"
    hours: Flat | None = None  # the member's stated hours: base + rate per unit of the measure
    edition: EditionTerms | None = None


class Grade(Struct, frozen=True, forbid_unknown_fields=True):
    """The member's own scale of intricacy: a factor on the size price."""

    title: Title
    factor: Decimal


class PercentExtra(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="percent"):
    """An extra that costs a percentage of the art price before extras, each."""

    title: Title
    percent: Decimal
    unit: Title = "each"


class FixedExtra(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="fixed"):
    """An extra at a fixed amount of the base date, each; it grows with the yearly increase."""

    title: Title
    amount: Decimal
    unit: Title = "each"


Extra = PercentExtra | FixedExtra


class CostEstimate(Struct, frozen=True, forbid_unknown_fields=True):
    """A schedule that estimates a cost where the work does not say it; `kind` marks that it replaces whole."""

    kind: Literal["estimate"]
    measure: Measure
    schedule: Schedule


class Cost(Struct, frozen=True, forbid_unknown_fields=True):
    """How a work's own cost enters its price."""

    title: Title
    treatment: Literal["absorbed", "at_cost", "marked_up", "recovered"]
    percent: Decimal | None = None  # of a marked_up cost
    frame: bool = False  # the frame: outlets with frame_first take it out of their base
    estimate: CostEstimate | None = None
    show_at_cost: bool = False  # whether the public view may show an at_cost line of its own


class Increase(Struct, frozen=True, forbid_unknown_fields=True):
    """The yearly increase: rates are the rates of `base_date`."""

    base_date: date
    yearly_percent: Decimal = ZERO
    exceptions: dict[str, Decimal] = {}  # calendar year to percent


class Step(Struct, frozen=True, forbid_unknown_fields=True):
    """A rounding step and the prices below which it holds (the last one is open)."""

    step: Decimal
    below: Decimal | None = None


class Rounding(Struct, frozen=True, forbid_unknown_fields=True):
    """Rounding of the retail price by steps."""

    steps: Annotated[tuple[Step, ...], Meta(min_length=1, max_length=20)]
    direction: Literal["nearest", "up"] = "nearest"


class NoTax(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="none"):
    """No tax on the price."""

    @property
    def percent(self) -> Decimal:
        return ZERO


class TaxIncluded(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="included"):
    """The price contains the tax."""

    percent: Decimal


class TaxAdded(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="added"):
    """The tax is paid on top of the price."""

    percent: Decimal


Tax = NoTax | TaxIncluded | TaxAdded


class Commission(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="commission"):
    """The outlet keeps a percentage of the price."""

    percent: Decimal


class MarkUp(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="mark-up"):
    """The outlet adds a percentage to the maker's net: m percent on net is m / (100 + m) of the price."""

    percent: Decimal


class Purchase(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="purchase"):
    """The outlet buys outright at a percentage of retail."""

    percent: Decimal


Terms = Commission | MarkUp | Purchase


class TaxOnCommission(Struct, frozen=True, forbid_unknown_fields=True):
    """Tax that the outlet charges on its commission; the member's cost unless recoverable."""

    percent: Decimal
    recoverable: bool = False


class PaymentFee(Struct, frozen=True, forbid_unknown_fields=True):
    """What the payment provider takes: a percentage of what the buyer pays, and a fixed fee in the outlet's currency."""

    borne_by: Party
    percent: Decimal = ZERO
    fixed: Decimal = ZERO


class Discount(Struct, frozen=True, forbid_unknown_fields=True):
    """Who bears a discount: `both` by the same percentage, or `split` with the member's percentage of it."""

    share: Literal["both", "split"] = "both"
    member_percent: Decimal = HUNDRED  # of a split discount: 0 leaves it to the outlet, 100 to the member
    limit_percent: Decimal = HUNDRED  # of the listed price
    beyond_limit: Literal["outlet", "member"] = "member"


class Outlet(Struct, frozen=True, forbid_unknown_fields=True):
    """A place that sells, and its terms."""

    title: Title
    terms: Terms
    currency: str | None = None  # the member's unless given
    commission_base: Literal["net", "gross"] = "net"
    frame_first: bool = False
    tax_on_commission: TaxOnCommission | None = None
    payment_fee: PaymentFee | None = None
    discount: Discount = Discount()
    tax: Tax | None = None  # wins over the member's


class Earning(Struct, frozen=True, forbid_unknown_fields=True):
    """What an hour of work should bring, and what it must at least."""

    hourly_target: Decimal
    hourly_floor: Decimal


class BudgetBand(Struct, frozen=True, forbid_unknown_fields=True):
    """One of the buyers' budget bands: from (inclusive) up to `below`; the last one is open."""

    title: Title
    below: Decimal | None = None


class ShownFormat(Struct, frozen=True, forbid_unknown_fields=True):
    """A size the guide shows, of the member's own or a standard one by its name."""

    title: Title
    size: Size | None = None
    standard: Name | None = None
    media: tuple[Name, ...] | None = None  # all media unless given


class Exchange(Struct, frozen=True, forbid_unknown_fields=True):
    """A pinned exchange rate: units of that currency per one unit of the member's, and that currency's rounding."""

    rate: Decimal
    on: date
    rounding: Rounding | None = None


class PaymentStage(Struct, frozen=True, forbid_unknown_fields=True):
    """A stage of a work made to order: what is paid when it is reached, and what of the price is due in all
    if the order is cancelled from then on, before the next stage."""

    name: Name
    title: Title
    percent: Decimal
    cancelled_percent: Decimal


class BespokeTerms(Struct, frozen=True, forbid_unknown_fields=True):
    """What holds for works made to order: the uplift on the art before extras, the stages, how many days an offer stands."""

    uplift_percent: Decimal
    stands_days: Annotated[int, Meta(ge=0, le=3660)]
    stages: Annotated[tuple[PaymentStage, ...], Meta(min_length=1, max_length=12)]


class SetDiscount(Struct, frozen=True, forbid_unknown_fields=True):
    """What is taken off works that are sold together, from that many works on."""

    works: int
    percent: Decimal


class SetTerms(Struct, frozen=True, forbid_unknown_fields=True):
    """Terms for works sold together: the discount by their count, who bears it, and whether the total lies on the grid.

    `members_own`: the member bears it alone; else each outlet's terms on discounts say who does.
    """

    discounts: Annotated[tuple[SetDiscount, ...], Meta(min_length=1, max_length=20)]
    members_own: bool = False
    total_on_grid: bool = False


class Rules(Struct, frozen=True, forbid_unknown_fields=True):
    """Everything that a resolved rule set says."""

    title: Title
    currency: str
    media: dict[Name, Medium]
    outlets: dict[Name, Outlet]
    sells_in: tuple[Name, ...]
    collective: Title = ""
    length_unit: Literal["mm", "cm", "m", "in"] = "cm"
    locale: Annotated[str, Meta(max_length=35)] = "en"
    time_zone: Annotated[str, Meta(max_length=64)] = "UTC"
    grades: dict[Name, Grade] = {}
    extras: dict[Name, Extra] = {}
    costs: dict[Name, Cost] = {}
    increase: Increase | None = None
    rounding: Rounding | None = None
    levy_percent: Decimal = ZERO
    tax: Tax = field(default_factory=NoTax)
    earning: Earning | None = None
    bands: Annotated[tuple[BudgetBand, ...], Meta(max_length=50)] = ()
    formats: dict[Name, ShownFormat] = {}
    fx: dict[str, Exchange] = {}
    bespoke: BespokeTerms | None = None
    sets: SetTerms | None = None
    offers_stand_days: Annotated[int, Meta(ge=1, le=366)] = 30  # how long a sealed offer stands where the request does not say


class Origin(Struct, frozen=True):
    """The rule that made a figure: its key, the layer (file) that set it, and the day since which it stands."""

    path: str
    layer: str
    since: date | None = None


class RuleSet:
    """One member's rules in force from a day on, checked, with origins, digest and curves built once.

    `origins` maps each dotted key path to its Origin; `effective_until` (exclusive) is None for the newest.
    """

    def __init__(
        self,
        member: str,
        rules: Rules,
        origins: Mapping[str, Origin],
        digest: str,
        effective_from: date,
        effective_until: date | None = None,
        *,
        tried: bool = False,
    ) -> None:
        self.member = member
        self.rules = rules
        self.origins = origins
        self.digest = digest
        self.effective_from = effective_from
        self.effective_until = effective_until
        self.tried = tried  # a what-if layer of the request lies on top
        self._found: dict[str, Origin] = {}
        self.curves: dict[str, Curve] = {name: curve_of(medium.schedule) for name, medium in rules.media.items()}
        self.estimates: dict[str, Curve] = {
            name: curve_of(cost.estimate.schedule) for name, cost in rules.costs.items() if cost.estimate is not None
        }

    @property
    def currency(self) -> str:
        return self.rules.currency

    @cached_property
    def unit(self) -> Decimal:
        """The minor unit of the member's currency."""
        return minor_unit(self.rules.currency)

    def origin(self, path: str) -> Origin:
        """The origin of the value at `path`, or of the nearest table above it that a file set; a default says so."""
        if path not in self._found:
            self._found[path] = self._look_up(path)
        return self._found[path]

    def with_medium(self, name: str, medium: Medium) -> Self:
        """These rules with another medium in its place, for figures whose origins nobody is shown. All other curves stay as they are."""
        made = copy(self)
        made.rules = replace(self.rules, media={**self.rules.media, name: medium})
        made.curves = {**self.curves, name: curve_of(medium.schedule)}
        made.origins, made._found, made.tried = {}, {}, True  # looking origins up takes its time, and what is found is each set's own
        return made

    def _look_up(self, path: str) -> Origin:
        at = path
        while at:
            if at in self.origins:
                found = self.origins[at]
                return Origin(path, found.layer, found.since)
            inside = [o for p, o in self.origins.items() if p.startswith(at + ".")]
            if inside:  # a table laid from several files: the newest of them
                newest = max(inside, key=lambda o: (o.since is not None, o.since, o.layer))
                return Origin(path, newest.layer, newest.since)
            at = at.rpartition(".")[0]
        return Origin(path, "default")

    def medium(self, name: str, pointer: str = "/medium") -> Medium:
        if name not in self.rules.media:
            raise Unknown.name("medium", name, self.rules.media, pointer)
        return self.rules.media[name]

    def outlet(self, name: str, pointer: str = "/outlet") -> Outlet:
        """An outlet of the member's (`sells_in`); Unknown for any other."""
        if name not in self.rules.sells_in:
            raise Unknown.name("outlet", name, self.rules.sells_in, pointer)
        return self.rules.outlets[name]

    def outlet_currency(self, name: str) -> str:
        return self.rules.outlets[name].currency or self.rules.currency

    def outlet_tax(self, name: str) -> Tax:
        own = self.rules.outlets[name].tax
        return self.rules.tax if own is None else own

    def rate(self, currency: str) -> Decimal:
        """Units of `currency` per one unit of the member's currency."""
        return ONE if currency == self.rules.currency else self.rules.fx[currency].rate

    def rounding(self, currency: str) -> Rounding:
        """The rounding of prices in `currency`: its steps, or its minor unit where none are given."""
        given = self.rules.rounding if currency == self.rules.currency else self.rules.fx[currency].rounding
        return given or Rounding((Step(minor_unit(currency)),))


def schedule_per(schedule: Schedule, measure: Measure) -> Per:
    """The unit in which a schedule over `measure` counts."""
    default = DEFAULT_PER[DIMENSION[measure]]
    return default if isinstance(schedule, (Listed, Time)) else schedule.per or default
