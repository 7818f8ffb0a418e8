"""What the fields of a member's choices mean."""

FIELDS = {
    "choices": "What may be asked of the member.",
    "counted_in": "The word for one of it, such as side or bath.",
    "grades": "The member's grades.",
    "is_frame": "Whether this item is the frame.",
    "item": "The name by which a work may say this among its costs.",
    "items": "What is charged beside the art, is estimated by the rules, and may be named in public.",
    "length_unit": "The unit of length in which the member shows sizes.",
    "locale": "The member's own language, a tag of BCP 47.",
    "needs": "What a work must say of itself for this to be priced; nothing where it is counted by the piece.",
    "Choices.currency": "The member's currency as its ISO 4217 code.",
    "Choices.extras": "The member's extras.",
    "Choices.media": "The member's media.",
    "Choices.stands_days": "For how many days an offer of the member's stands where the request does not say.",
    "ExtraChoice.extra": "The name by which a work may say this extra.",
    "Choices.title": "The member's name, for people.",
    "GradeChoice.grade": "The name by which a work may say this grade.",
}
SHAPES = {
    "Choices.stands_days": {"format": "int32", "minimum": 1, "maximum": 366},
}
