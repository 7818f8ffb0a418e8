"""What the fields of checks over a catalogue mean."""

FIELDS = {
    "checked": "How many works were looked at.",
    "clean": "True where no finding is a contradiction.",
    "figures": "The figures that prove the finding.",
    "findings": "What was found, group by group in the order of the catalogue.",
    "mend": "What would mend it, in one sentence.",
    "severity": "How much it matters: a contradiction disproves the price list, a warning asks for a look, a note informs.",
    "Finding.works": "The identifiers of the works concerned.",
}
