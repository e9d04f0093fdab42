"""Section 9 of the design over the API, spares and orders: who reads, who writes, a body that does."""

from tests.doors.api_row import DAY, MANAGER, NOBODY, VOID, WORKSHOP, Row

SPARES_AND_ORDERS: dict[str, Row] = {
    "allowances": Row(
        posts=MANAGER,
        patches=MANAGER,
        deletes=MANAGER,
        adds=lambda ids: {"spare": "oil", "place": ids["places"], "quantity": 2, "from_on": DAY},
        changes={"quantity": 5},
    ),
    "astray": Row(
        one=False,
        posts=WORKSHOP,
        adds=lambda ids: {"step": "missed", "spare": "oil", "place": ids["places"], "quantity": 1},
    ),
    "cores-back": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {"base": "harbour", "spare": "turned pump", "quantity": 1},
        changes=VOID,
    ),
    "cores-due": Row(one=False),
    "costs": Row(reads=WORKSHOP, one=False),
    "counts": Row(
        reads=NOBODY,
        one=False,
        posts=WORKSHOP,
        adds=lambda ids: {"spare": "oil", "place": ids["places"], "counted": 3, "day": DAY},
    ),
    "lots": Row(),
    "order-steps": Row(
        reads=NOBODY,
        one=False,
        posts=WORKSHOP,
        adds=lambda ids: {"order": ids["orders"], "step": "sent"},
    ),
    "orders": Row(
        posts=WORKSHOP,
        patches=WORKSHOP,
        adds=lambda ids: {
            "base": "harbour",
            "supplier": "Quay Chandlery",
            "lines": [{"spare": "oil", "quantity": 5}],
        },
        changes={"words": "Ring before"},
    ),
    "parts-for": Row(one=False, asks=lambda ids: {"component": "twice-shy-port-engine-oil"}),
    "prices": Row(
        reads=WORKSHOP,
        posts=MANAGER,
        patches=MANAGER,
        deletes=MANAGER,
        adds=lambda ids: {"spare": "oil", "each": "9.90", "currency": "EUR", "supplier": "Another"},
        changes={"each": "10.00"},
        shared=True,
    ),
    "seals": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {"boat": "twice-shy", "number": "000417"},
        changes=VOID,
    ),
    "spare-fits": Row(
        posts=MANAGER,
        patches=MANAGER,
        deletes=MANAGER,
        adds=lambda ids: {"spare": "oil", "kind": "impeller"},
        changes={"source": "The maker's list"},
        shared=True,
    ),
    "spares": Row(
        posts=MANAGER,
        patches=MANAGER,
        adds=lambda ids: {"code": "06E2", "name": "Seal"},
        changes={"supplier": "A chandler"},
        shared=True,
    ),
    "stand-ins": Row(
        posts=MANAGER,
        patches=MANAGER,
        deletes=MANAGER,
        adds=lambda ids: {"spare": "oil", "other": "impeller kit"},
        changes={"words": "Mind the seal"},
        shared=True,
    ),
    "stock": Row(one=False),
    "stock-moves": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {
            "spare": "oil",
            "to_place": ids["places"],
            "quantity": 2,
            "why": "received",
            "day": DAY,
        },
        changes=VOID,
    ),
    "to-fill": Row(
        one=False,
        posts=WORKSHOP,
        adds=lambda ids: {
            "lines": [
                {"spare": "oil", "from_place": ids["shelf"], "place": ids["places"], "quantity": 1},
            ]
        },
    ),
    "to-hold": Row(one=False),
    "to-take": Row(one=False),
}
