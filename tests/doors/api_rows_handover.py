"""Section 9 of the design over the API, from defect to handover: who reads, who writes, a body that does."""

from tests.doors.api_row import ALL, DAY, MANAGER, VOID, WORKSHOP, Row

FROM_DEFECT_TO_HANDOVER: dict[str, Row] = {
    "adoptions": Row(
        posts=MANAGER,
        corrects=MANAGER,
        adds=lambda ids: {"boat": "blank-page", "list": "coastal"},
        changes={"until_on": "2026-09-30"},
    ),
    "alarm-words": Row(
        posts=MANAGER, deletes=MANAGER, adds=lambda ids: {"base": "harbour", "phrase": "whistling"}
    ),
    "call-out-steps": Row(
        posts=ALL,
        corrects=ALL,
        adds=lambda ids: {"call_out": ids["call-outs"], "step": "there"},
        changes=VOID,
    ),
    "call-outs": Row(
        posts=ALL, adds=lambda ids: {"boat": "twice-shy", "where": "Long cove", "words": "No water"}
    ),
    "contract-clocks": Row(patches=MANAGER, changes={"terms": [{"over_days": 0, "hours": 48}]}),
    "defect-steps": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {"defect": ids["defects"], "step": "put right", "who": "A. Fitter"},
        changes=VOID,
    ),
    "defects": Row(
        posts=ALL,
        corrects=ALL,
        adds=lambda ids: {"boat": "twice-shy", "words": "Pump hums"},
        changes=VOID,
    ),
    "deferrals": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {"defect": ids["graded"], "until_on": "2026-06-30", "limit_text": "No spinnaker"},
        changes=VOID,
    ),
    "fitting-outs": Row(
        posts=WORKSHOP, corrects=WORKSHOP, adds=lambda ids: {"boat": "blank-page"}, changes=VOID
    ),
    "handovers": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {"charter": "S3", "why": "All on the quay at once"},
        changes=VOID,
    ),
    "hold-rules": Row(patches=MANAGER, changes={"names_needed": 3}),
    "holds": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {"boat": "twice-shy", "why": "Smells of diesel"},
        changes={"why": "The filter was loose"},
    ),
    "hull-looks": Row(
        posts=WORKSHOP,
        adds=lambda ids: {
            "boat": "twice-shy",
            "day": DAY,
            "method": "diver",
            "seen": "A scratch",
            "sound": True,
            "touch": ids["touches"],
        },
    ),
    "may-sail": Row(one=False),
    "parts-taken": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {"component": "sandpiper-rigging", "to_boat": "twice-shy"},
        changes=VOID,
    ),
    "release-names": Row(
        posts=WORKSHOP,
        adds=lambda ids: {"release": ids["releases"], "name": "B. Other", "how": "confirmed"},
    ),
    "releases": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {"charter": "T2", "names": [{"name": "A. Fitter"}], "held": True, "why": "Rig"},
        changes=VOID,
    ),
    "requirements": Row(
        posts=MANAGER,
        patches=MANAGER,
        adds=lambda ids: {"base": "harbour", "list": "coastal", "kind": "life-raft", "number": 1},
        changes={"number": 8},
    ),
    "round-items": Row(
        posts=MANAGER,
        patches=MANAGER,
        adds=lambda ids: {"base": "harbour", "words": "Horn"},
        changes={"words": "Bilge dry, looked at"},
    ),
    "round-lines": Row(),
    "rounds": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {
            "boat": "twice-shy",
            "lines": [{"item": ids["round-items"], "state": "in order"}],
        },
        changes=VOID,
    ),
    "touches": Row(
        posts=ALL, adds=lambda ids: {"boat": "twice-shy", "day": DAY, "touched": "rudder", "force": "soft"}
    ),
}
