"""Section 9 of the design, address by address of the API: who reads, who writes, and a body that does."""

from tests.doors.api_row import ALL, DAY, DESK, MANAGER, VOID, WORKSHOP, Row, photo
from tests.doors.api_rows_handover import FROM_DEFECT_TO_HANDOVER
from tests.doors.api_rows_spares import SPARES_AND_ORDERS

ROWS: dict[str, Row] = (
    FROM_DEFECT_TO_HANDOVER
    | SPARES_AND_ORDERS
    | {
        "audit": Row(one=False),
        "away-steps": Row(
            posts=WORKSHOP,
            corrects=WORKSHOP,
            adds=lambda ids: {
                "component": "twice-shy-starboard-engine-oil",
                "step": "sent away",
                "day": DAY,
                "whom": "A workshop",
            },
            changes=VOID,
        ),
        "bases": Row(patches=MANAGER, changes={"phone": "+30 000"}),
        "boats": Row(
            posts=DESK,
            patches=DESK,
            adds=lambda ids: {"code": "new-one", "name": "New One", "base": "harbour"},
            changes={"design": "Sloop 38"},
        ),
        "charter-boats": Row(
            posts=DESK,
            adds=lambda ids: {
                "charter": "S4",
                "boat": "twice-shy",
                "from_on": "2026-06-06",
                "why": "her engine is out",
            },
        ),
        "charters": Row(
            posts=DESK,
            patches=DESK,
            adds=lambda ids: {
                "code": "N1",
                "boat": "twice-shy",
                "starts_on": "2026-07-04",
                "ends_on": "2026-07-11",
            },
            changes={"berth": "B2"},
        ),
        "components": Row(
            posts=WORKSHOP,
            patches=WORKSHOP,
            adds=lambda ids: {
                "code": "new-raft",
                "kind": "life-raft",
                "boat": "twice-shy",
                "fitted_on": DAY,
            },
            changes={"serial": "0042"},
        ),
        "due": Row(one=False),
        "fittings": Row(
            posts=WORKSHOP,
            corrects=WORKSHOP,
            adds=lambda ids: {
                "component": "twice-shy-life-raft",
                "boat": "blank-page",
                "on": DAY,
                "why": "hers is away",
            },
            changes=VOID,
        ),
        "intervals": Row(
            posts=MANAGER,
            patches=MANAGER,
            adds=lambda ids: {"code": "wipe", "kind": "engine-oil", "task": "Wipe", "every_months": 6},
            changes={"minutes": 25},
            shared=True,
        ),
        "jobs": Row(
            posts=WORKSHOP,
            corrects=WORKSHOP,
            adds=lambda ids: {
                "boat": "twice-shy",
                "day": DAY,
                "tasks": [{"component": "twice-shy-starboard-engine-oil", "interval": "change"}],
            },
            changes=VOID,
        ),
        "kinds": Row(
            posts=MANAGER,
            patches=MANAGER,
            adds=lambda ids: {"code": "hose", "name": "Hose", "system": "engine"},
            changes={"function": "cools"},
            shared=True,
        ),
        "links": Row(reads=DESK, posts=DESK, deletes=DESK, adds=lambda ids: {"charter": "T2"}),
        "memberships": Row(
            posts=MANAGER,
            patches=MANAGER,
            adds=lambda ids: {
                "base": "harbour",
                "login": "nia",
                "name": "Nia Torrel",
                "password": "seven-boats-back",
                "role": "engineer",
            },
            changes={"until_on": "2026-12-31"},
        ),
        "meters": Row(
            posts=DESK,
            patches=DESK,
            adds=lambda ids: {"boat": "twice-shy", "name": "genset"},
            changes={"counts": "running"},
        ),
        "papers": Row(posts=ALL, adds=lambda ids: {"base": "harbour", "file": photo()}),
        "places": Row(
            posts=DESK,
            patches=DESK,
            adds=lambda ids: {"base": "harbour", "code": "loft", "name": "Loft", "sort": "store"},
            changes={"name": "Under the bunk"},
        ),
        "printed-dates": Row(
            posts=WORKSHOP,
            corrects=WORKSHOP,
            adds=lambda ids: {"component": "twice-shy-life-raft", "as_written": "2027-06-15"},
            changes=VOID,
        ),
        "questions": Row(one=False, shared=True),
        "readings": Row(
            posts=ALL,
            corrects=ALL,
            adds=lambda ids: {"boat": "twice-shy", "meter": "starboard", "day": DAY, "dial": 2350},
            changes=VOID,
        ),
        "returns": Row(
            posts=ALL,
            corrects=ALL,
            adds=lambda ids: {"boat": "twice-shy", "day": DAY, "defects": ["Leaks"]},
            changes=VOID,
        ),
        "services": Row(
            posts=WORKSHOP,
            corrects=WORKSHOP,
            adds=lambda ids: {
                "component": "twice-shy-starboard-engine-oil",
                "interval": "change",
                "done_on": DAY,
            },
            changes=VOID,
        ),
        "terms": Row(
            posts=DESK,
            corrects=DESK,
            adds=lambda ids: {"boat": "twice-shy", "from_on": DAY, "persons": 8},
            changes={"persons": 9},
        ),
        "tokens": Row(posts=ALL, deletes=ALL, adds=lambda ids: {"name": "a new one"}),
        "use-rates": Row(),
    }
)
