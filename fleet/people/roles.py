"""Who may do what: the table of the design, in code. Pure."""

ENGINEER, MANAGER, OFFICE = "engineer", "manager", "office"
ROLES = (ENGINEER, MANAGER, OFFICE)

# What is done, and the roles that may do it at a base they are a member of.
MAY: dict[str, frozenset[str]] = {
    "see": frozenset({ENGINEER, MANAGER, OFFICE}),
    "record a return": frozenset({ENGINEER, MANAGER, OFFICE}),
    "record a reading": frozenset({ENGINEER, MANAGER, OFFICE}),
    "report a defect": frozenset({ENGINEER, MANAGER, OFFICE}),
    "put a defect right": frozenset({ENGINEER, MANAGER}),
    "record work": frozenset({ENGINEER, MANAGER}),
    "count stock": frozenset({ENGINEER, MANAGER}),
    "change charters": frozenset({MANAGER, OFFICE}),
}


def may(roles: frozenset[str], action: str) -> bool:
    """Whether somebody with these roles may do this; an unknown action is a KeyError."""
    return bool(MAY[action] & roles)
