"""What the parameters of a price at an address mean, where the common words do not say it."""

FIELDS = {
    "cost": "One of the work's own costs by name, estimated by the member's rules; it may stand several times, each name once.",
    "extra": "An extra by name; said several times, it is charged as often.",
    "framed": "Whether the work comes with its frame, as the member's rules estimate it.",
    "PriceQuery.format": "A standard or house format by name instead of height and width, such as 30f or a3.",
    "PriceQuery.unit": "The unit of height, width and depth.",
}
