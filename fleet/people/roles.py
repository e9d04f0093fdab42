"""Who may do what: the table of the design, in code. Pure."""

ENGINEER, MANAGER, OFFICE = "engineer", "manager", "office"
ROLES = (ENGINEER, MANAGER, OFFICE)
SKIPPER = "skipper's link"  # nobody's role: what the link of one charter opens, for that charter only

# What is done, and the roles that may do it at a base they are a member of.
MAY: dict[str, frozenset[str]] = {
    "see": frozenset({ENGINEER, MANAGER, OFFICE}),
    "record a return": frozenset({ENGINEER, MANAGER, OFFICE, SKIPPER}),
    "record a reading": frozenset({ENGINEER, MANAGER, OFFICE}),
    "report a defect": frozenset({ENGINEER, MANAGER, OFFICE, SKIPPER}),
    "keep a paper": frozenset({ENGINEER, MANAGER, OFFICE, SKIPPER}),
    "answer a report": frozenset({ENGINEER, MANAGER, OFFICE}),
    "put a defect right": frozenset({ENGINEER, MANAGER}),
    "look at an alarm": frozenset({ENGINEER, MANAGER, OFFICE}),
    "grade and defer": frozenset({ENGINEER, MANAGER}),
    "look at a hull": frozenset({ENGINEER, MANAGER}),
    "release a boat": frozenset({ENGINEER, MANAGER}),
    "walk the round": frozenset({ENGINEER, MANAGER}),
    "hand over": frozenset({ENGINEER, MANAGER}),
    "go out to a boat": frozenset({ENGINEER, MANAGER, OFFICE}),
    "lay up and fit out": frozenset({ENGINEER, MANAGER}),
    "record work": frozenset({ENGINEER, MANAGER}),
    "read a printed date": frozenset({ENGINEER, MANAGER}),
    "count stock": frozenset({ENGINEER, MANAGER}),
    "order parts": frozenset({ENGINEER, MANAGER}),
    "see prices": frozenset({ENGINEER, MANAGER}),
    "export for an owner": frozenset({MANAGER}),
    "change charters": frozenset({MANAGER, OFFICE}),
    "change boats": frozenset({MANAGER, OFFICE}),
    "change intervals": frozenset({MANAGER}),
    "change the base's rules": frozenset({MANAGER}),
    "change people": frozenset({MANAGER}),
}


def may(roles: frozenset[str], action: str) -> bool:
    """Whether somebody with these roles may do this; an unknown action is a KeyError."""
    return bool(MAY[action] & roles)
