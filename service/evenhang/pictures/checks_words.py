"""What the kinds of findings are called where they are counted, in words for people and never by their codes."""

from evenhang.engine.checks.findings import FindingCode
from evenhang.engine.saying import Said, say

COUNTED: dict[FindingCode, Said] = {
    "larger-for-less": say("Larger works that ask less"),
    "same-size-different-price": say("Same size at different prices"),
    "off-the-rule": say("Prices away from the rules"),
    "off-the-rounding": say("Prices off the rounding"),
    "outlet-undercut": say("Outlets that ask less than others"),
    "price-cut": say("Prices below earlier ones"),
    "increase-missed": say("Increases missed"),
    "odd-unit-rate": say("Odd unit rates"),
    "loss-making": say("Works that make a loss"),
    "thin-yield": say("Works that leave too little for an hour"),
    "missing-rung": say("Gaps between price points"),
    "edition-out-of-order": say("Editions out of order"),
    "incomplete": say("Could not be checked"),
}
