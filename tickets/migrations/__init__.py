"""The steps from each state of the tables to the next; `HEAD` is the state that this program works with."""

REVISIONS = (
    "0001",
    "0002",
    "0003",
    "0004",
    "0005",
    "0006",
    "0007",
    "0008",
    "0009",
)  # all from the first on; a test holds it against versions/
HEAD = REVISIONS[-1]
