"""The table of operations: each row once, from its own file."""

from evenhang.api.checks import CHECKS
from evenhang.api.consignments import CONSIGNMENTS
from evenhang.api.formats import FORMAT_LIST
from evenhang.api.guide import GUIDE
from evenhang.api.ladders import LADDERS
from evenhang.api.members import MEMBERS
from evenhang.api.offers import OFFERS, VERIFY_OFFER
from evenhang.api.positions import POSITIONS
from evenhang.api.price import PRICE
from evenhang.api.quotes import QUOTES
from evenhang.api.rates import RATES
from evenhang.api.royalties import ROYALTIES
from evenhang.api.settlements import SETTLEMENTS
from evenhang.api.targets import TARGETS
from evenhang.api.yields import YIELDS

OPERATIONS = (
    MEMBERS,
    PRICE,
    QUOTES,
    SETTLEMENTS,
    TARGETS,
    YIELDS,
    CHECKS,
    LADDERS,
    RATES,
    POSITIONS,
    OFFERS,
    VERIFY_OFFER,
    CONSIGNMENTS,
    ROYALTIES,
    FORMAT_LIST,
    GUIDE,
)
