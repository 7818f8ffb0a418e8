"""What the fields of standard sizes mean."""

FIELDS = {
    "canvas": "The number of the canvas; null where the size is none.",
    "families": "Where the sizes stand.",
    "family": "The family of sizes.",
    "formats": "The sizes, family by family.",
    "series": "The series within the family.",
    "FormatFamily.known": "How sure it is: read, or written down from memory.",
    "FormatFamily.note": "What else has to be known of the family; empty where there is nothing to say.",
    "FormatQuery.family": "Only this family; all where none is named.",
    "FormatQuery.unit": "The unit of length to show sizes in; each in its own where none is named.",
    "FormatRow.name": "The name by which a work may give its format.",
    "FormatRow.size": "The size.",
}
SHAPES = {"canvas": {"format": "int32", "minimum": 0, "maximum": 120}}
