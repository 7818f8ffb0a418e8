"""What the fields of rules, rule sets and checks of rules mean."""

FIELDS = {
    "accepted": "True where the service would start with these files; warnings do not hinder it.",
    "faults": "What is wrong, then what is doubtful; each once, however many days it shows on.",
    "file": "Where it lies in the rule folder: house/YYYY-MM-DD.toml or members/NAME/YYYY-MM-DD.toml.",
    "files": "Every file of the folder: they are laid over one another by day, as at start.",
    "key": "The exact key, dotted, elements of lists counted from 0; empty where the file itself is at fault.",
    "line": "The line of the file on which the key stands; null where that cannot be told.",
    "rule_sets": "One for each span of time between two changes.",
    "text": "The file as it would be written, TOML 1.0.",
    "tried": "True where the request laid rules of its own on top with `try`.",
    "try": "What if: a last layer of rules, laid over those in force for this one answer, with the keys of a rule file; figures are "
    'texts ("0.25"). Needs the scope books.',
    "RuleValue.value": "The value as text; a figure without an exponent, a day as YYYY-MM-DD, true or false.",
    "values": "Every value that some file set, by key; what no file says stands at its default.",
    "warning": "True where it is only doubtful: the service starts all the same.",
    "CheckedMember.member": "The member, by the name of its folder.",
    "Fault.reason": "What is wrong with it, for people. Its wording may change.",
    "RuleCheckAnswer.members": "The rule sets that would be, by member; empty where the files are refused.",
    "RuleValue.layer": "The file that set it; `try` for a layer of the request.",
    "RuleValue.path": "The exact key, dotted, elements of lists counted from 0.",
}
KEY = {"pattern": "^[^\\s]+$", "maxLength": 600}
SHAPES = {
    "RuleValue.path": KEY,
    "line": {"format": "int32", "minimum": 1, "maximum": 1_000_000},
    "SentFile.file": {"pattern": "^[\\s\\S]*$"},
    "SentFile.text": {"pattern": "^[\\s\\S]*$"},
}
