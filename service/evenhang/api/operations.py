"""The table of operations: each row once, from its own file."""

from evenhang.api.batches import BATCHES
from evenhang.api.bespoke import BESPOKE
from evenhang.api.checks import CHECKS
from evenhang.api.choices import CHOICES
from evenhang.api.consignments import CONSIGNMENTS
from evenhang.api.editions import EDITIONS
from evenhang.api.formats import FORMAT_LIST
from evenhang.api.guide_forms import GUIDE
from evenhang.api.jwks import JWKS
from evenhang.api.ladders import LADDERS
from evenhang.api.members import MEMBERS
from evenhang.api.offers import OFFERS, VERIFY_OFFER
from evenhang.api.positions import POSITIONS
from evenhang.api.price import PRICE
from evenhang.api.quotes import QUOTES
from evenhang.api.rates import RATES
from evenhang.api.reviews import REVIEWS
from evenhang.api.royalties import ROYALTIES
from evenhang.api.rules import RULE_CHECKS, RULE_SETS, RULES
from evenhang.api.sets import SETS
from evenhang.api.settlements import SETTLEMENTS
from evenhang.api.targets import TARGETS
from evenhang.api.yields import YIELDS

OPERATIONS = (
    MEMBERS,
    CHOICES,
    PRICE,
    QUOTES,
    BATCHES,
    BESPOKE,
    EDITIONS,
    SETS,
    SETTLEMENTS,
    TARGETS,
    YIELDS,
    CHECKS,
    RULES,
    RULE_SETS,
    RULE_CHECKS,
    REVIEWS,
    LADDERS,
    RATES,
    POSITIONS,
    OFFERS,
    VERIFY_OFFER,
    JWKS,
    CONSIGNMENTS,
    ROYALTIES,
    FORMAT_LIST,
    GUIDE,
)
