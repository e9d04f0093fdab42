"""Who may open and send which page: section 9 of the design, walked over every address there is."""

from contextlib import contextmanager
from datetime import date
from decimal import Decimal
from itertools import product
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import get_resolver, reverse

from fleet.bases.models import Base
from fleet.boats.facts import base_of
from fleet.boats.models import Boat, Component, Kind
from fleet.charters.links import make_link
from fleet.ledger import enter
from fleet.meters.models import Reading
from fleet.papers.actions import keep_paper
from fleet.papers.content import Clean
from maintenance.defects.actions import report_defect
from maintenance.jobs.actions import Work, record_work
from maintenance.jobs.call_out import Call, open_call_out
from maintenance.jobs.models import PartTaken
from maintenance.ordering.actions import Wanted, make_order
from maintenance.ordering.models import Order
from maintenance.release.actions import Name, hold_boat, say_held
from maintenance.safety.models import Requirement
from maintenance.turnaround.actions import Report, file_return
from maintenance.turnaround.doubts import doubtful
from tests import factories as make
from tests.cast import NOW, TODAY, Cast, assemble
from tests.doors.sheets import said
from tests.factories import MembershipFactory
from tests.once_more import once_more

ALL, WORKSHOP, DESK = (
    {"engineer", "manager", "office"},
    {"engineer", "manager"},
    {"manager", "office"},
)
BASE, BOAT, PART = [], ["boat"], ["component"]

# name: what its address needs, who opens it (nobody: it is only sent), who sends it, what is sent
PAGES: dict[str, tuple[list[str], set[str], set[str], dict]] = {
    "week": (BASE, ALL, ALL, {}),
    "boats": (BASE, ALL, ALL, {}),
    "boat": (BOAT, ALL, ALL, {}),
    "work": (BOAT, WORKSHOP, WORKSHOP, {"done_on": "2026-05-28"}),
    "counting": (BOAT, WORKSHOP, WORKSHOP, {"from_on": "2026-05-28"}),
    "return": (BOAT, ALL, ALL, {"filed_by": "base", "day": "2026-05-28", "defects": "Leaks"}),
    "job": (["job"], ALL, WORKSHOP, {"what": "all"}),
    "returns": (BASE, ALL, ALL, {}),
    "filed": (["filed"], ALL, ALL, {"what": "all"}),
    "settle": (["reading"], set(), ALL, {"what": "aside"}),
    "correct": (["used"], ALL, ALL, {"dial": ""}),
    "release": (BOAT, ALL, WORKSHOP, {"what": "held", "held_why": "Rig", "held_who": "A. Fitter"}),
    "release-said": (["release"], set(), WORKSHOP, {"what": "undo"}),
    "release-sheet": (["release"], ALL, ALL, {}),
    "releases": (BASE, ALL, {"manager"}, {"release": ":release"}),
    "hold-boat": (BOAT, WORKSHOP, WORKSHOP, {"why": "Owner aboard", "who": "A. Fitter"}),
    "lift-hold": (["hold"], WORKSHOP, WORKSHOP, {"why": "He has left", "who": "A. Fitter"}),
    "rules": (BASE, ALL, {"manager"}, {"rule0-names": "1"}),
    "count": (BASE, set(), WORKSHOP, {"counted": "1"}),
    "defect": (["defect"], ALL, WORKSHOP, {"step": "put right", "who": "A. Fitter"}),
    "round": (BOAT, ALL, WORKSHOP, {"what": "begin"}),
    "round-items": (BASE, {"manager"}, {"manager"}, {"what": "new", "new-words": "Bilge dry"}),
    "kit": (BOAT, ALL, WORKSHOP, {}),
    "fill-kits": (BASE, ALL, WORKSHOP, {}),
    "kit-classes": (BASE, ALL, {"manager"}, {"what": "say"}),
    "take-along": (BOAT, ALL, ALL, {}),
    "handover": (["charter"], ALL, WORKSHOP, {"who": "A. Fitter", "why": "Alone here"}),
    "handover-sheet": (["charter"], ALL, ALL, {}),
    "answer": (["defect"], set(), ALL, {"words": "We bring one on Saturday"}),
    "defects": (BASE, ALL, ALL, {}),
    "report-defect": (BOAT, ALL, ALL, {"words": "Burning smell", "reporter": "A. Fitter"}),
    "cleaners": (BASE, {"manager"}, {"manager"}, {"what": "make"}),
    "alarm-words": (BASE, {"manager"}, {"manager"}, {"what": "add", "phrase": "whistl*", "sort": "alarm"}),
    "look": (["defect"], ALL, ALL, {"found": "nothing", "who": "A. Fitter"}),
    "grade": (["defect"], WORKSHOP, WORKSHOP, {"grade": "watch", "who": "A. Fitter"}),
    "defer": (["defect"], WORKSHOP, WORKSHOP, {"until": "lay-up", "who": "A. Fitter"}),
    "defect-join": (["defect"], WORKSHOP, WORKSHOP, {"what": "part"}),
    "defect-seen": (["defect"], set(), ALL, {}),
    "defect-same": (["defect"], set(), WORKSHOP, {"what": "two", "other": ":defect"}),
    "defect-move": (["defect"], WORKSHOP, WORKSHOP, {"boat": ""}),
    "defect-unmove": (["defect"], set(), WORKSHOP, {}),
    "filed-seen": (["filed"], set(), ALL, {}),
    "new-reports": (BASE, ALL, ALL, {}),
    "defect-where": (["defect"], WORKSHOP, WORKSHOP, {"at": "hull:bow"}),
    "defect-paper": (["defect"], set(), WORKSHOP, {"step": "1"}),
    "defect-undo": (["defect"], set(), WORKSHOP, {"step": "1"}),
    "hull": (BOAT, ALL, ALL, {}),
    "hull-touch": (BOAT, ALL, ALL, {"day": "2026-05-28", "touched": "keel", "reporter": "A. Fitter"}),
    "hull-look": (BOAT, WORKSHOP, WORKSHOP, {"day": "2026-05-28", "method": "diver", "who": "A"}),
    "hull-damage": (BOAT, ALL, ALL, {"hull": "bow", "words": "Scratch", "reporter": "A. Fitter"}),
    "new-call-out": (BOAT, ALL, ALL, {"where": "A bay", "words": "No charge", "told_at": "2026-05-28T15:00"}),
    "call-outs": (BASE, ALL, ALL, {}),
    "call-out": (["call_out"], ALL, ALL, {"what": "going", "who": "A. Fitter", "step": "there"}),
    "contract-clock": (BASE, {"manager"}, {"manager"}, {"hours0": "48"}),
    "take-part": (["defect"], WORKSHOP, WORKSHOP, {"component": "1", "who": "A. Fitter"}),
    "part-taken": (["taken"], ALL, WORKSHOP, {"what": "all"}),
    "component": (PART, ALL, WORKSHOP, {"on": "2026-05-28", "why": "swap"}),
    "away": (PART, WORKSHOP, WORKSHOP, {"what": "sent", "sent-whom": "X", "sent-day": "2026-05-28"}),
    "printed-date": (PART, WORKSHOP, WORKSHOP, {"what": "expiry", "as_written": "2027-06-15"}),
    "spares": (BASE, ALL, ALL, {}),
    "spare": (["spare"], ALL, WORKSHOP, {"move": ":move"}),
    "spare-move": (["spare"], WORKSHOP, WORKSHOP, {"why": "used", "quantity": "1"}),
    "shelf": (["place"], ALL, WORKSHOP, {"what": "find", "find": "oil"}),
    "labels": (BASE, ALL, ALL, {}),
    "lots": (BASE, ALL, ALL, {}),
    "astray": (BASE, ALL, WORKSHOP, {"what": "found"}),
    "cores": (BASE, ALL, WORKSHOP, {"spare": "1"}),
    "orders": (BASE, ALL, ALL, {}),
    "new-order": (BASE, WORKSHOP, WORKSHOP, {"whom": "Chandlery"}),
    "order": (["order"], ALL, WORKSHOP, {"what": "send", "send-sent_on": "2026-05-28"}),
    "order-sheet": (["order"], ALL, ALL, {}),
    "spare-said": (["spare"], {"manager"}, {"manager"}, {"what": "price", "price-each": "x"}),
    "costs": (BASE, WORKSHOP, WORKSHOP, {}),
    "owner-export": (BOAT, {"manager"}, {"manager"}, {}),
    "safety": (BASE, ALL, ALL, {}),
    "safety-boat": (BOAT, ALL, ALL, {}),
    "gear": (BASE, ALL, {"manager"}, {"what": "adopt", "list": "coastal", "adopt-from_on": "2026-05-28"}),
    "gear-clause": (["requirement"], {"manager"}, {"manager"}, {"what": "end", "end-last": "2026-05-28"}),
    "winter": (BASE, ALL, ALL, {}),
    "winter-boat": (BOAT, ALL, WORKSHOP, {"what": "lay-up", "lay-up-on": "2026-05-28"}),
    "safety-kinds": (BASE, {"manager"}, {"manager"}, {"kind-1": "test"}),
    "charters": (BASE, ALL, ALL, {}),
    "charter": (["charter"], DESK, DESK, {"what": "cancel"}),
    "new-link": (["charter"], set(), DESK, {}),
    "close-link": (["link"], set(), DESK, {}),
    "people": (BASE, ALL, {"manager"}, {"name": "N", "login": "n", "role": "office"}),
    "person": (["person"], {"manager"}, {"manager"}, {"what": "role", "role-role": "engineer"}),
    "paper": (["sha256"], ALL, ALL, {}),
}
NAMES = sorted(PAGES)
NO_SPARE = 10**9  # the list of parts is every base's: a part is no base's own, one that is not there is
OF_EVERY_BASE = {name for name in PAGES if PAGES[name][0] == ["spare"]}

# Pages of no base: what opening and sending gives to who is signed in, and to who is not
PLAIN: dict[str, tuple[int, int, int, int]] = {
    "home": (302, 302, 302, 302),
    "sign-in": (200, 200, 200, 200),
    "sign-out": (405, 302, 405, 302),
    "me": (200, 200, 302, 302),
    **dict.fromkeys(
        ("skipper-worker", "skipper-no-signal", "phone-kept", "phone-page"), (200, 405, 200, 405)
    ),
}
# Pages that a skipper's link opens, walked in test_skipper_pages; what phones call, in test_phone_sending
CLEANERS: set[str] = {"cleaner", "cleaner-seen", "cleaner-sent", "cleaner-cut"}  # in test_cleaner_pages
SKIPPERS: set[str] = {
    *("skipper", "skipper-return", "skipper-sent", "skipper-told", "skipper-photo", "skipper-cut"),
    "skipper-happening",
    "skipper-manifest",
    *("phone-reports", "phone-returns", "phone-photo", "phone-stands"),
}


def things(cast: Cast, boat: str, kind: str, task: str, charter: str) -> dict[str, Any]:
    """One of each thing that an address can name, of one boat."""
    ship, part = cast.boat[boat], f"{boat} {kind}"
    work = Work(date(2026, 5, 25), [cast.task(part, task)])
    return {
        "boat": ship.pk,
        "component": cast.part[part].pk,
        "charter": cast.charter[charter].pk,
        "link": make_link(cast.charter[charter], at=NOW)[0].pk,
        "reading": doubtful([ship.pk])[0].pk,
        "used": Reading.objects.filter(meter__boat=ship, standing="used").latest("day", "pk").pk,
        "defect": report_defect(ship, words="Leaks", at=NOW).pk,
        "job": record_work(ship, work, at=NOW).pk,
        "filed": file_return(ship, None, Report(filed_by="base", day=TODAY), at=NOW).pk,
        "person": cast.person["stranger" if boat == "far cry" else "office"].pk,
        "sha256": photo_of(ship, base_of(ship, TODAY)),
        "hold": hold_boat(ship, why="Owner aboard", who="A. Fitter", at=NOW).pk,
        "release": say_held(ship, cast.charter[charter], Name("A. Fitter"), why="Rig", at=NOW).pk,
        "call_out": open_call_out(ship, Call("A bay", NOW), words="No charge", at=NOW).pk,
        "taken": taken_from(ship, cast.part[part]).pk,
        "order": ordered_by(cast, base_of(ship, TODAY)).pk,
        "spare": cast.spare["oil"].pk if boat != "far cry" else NO_SPARE,
        "place": cast.place[f"{boat} locker"].pk,
        "move": make.ReceivedFactory(
            spare=cast.spare["oil"], to_place=cast.place[f"{boat} locker"], recorded_at=NOW, day=TODAY
        ).pk,
        "requirement": clause_of(base_of(ship, TODAY), cast.part[part].kind).pk,
    }


def clause_of(base: Base, kind: Kind) -> Requirement:
    """A clause of a base's list of gear."""
    return Requirement.objects.create(base=base, list="coastal", kind=kind, number=1)


def ordered_by(cast: Cast, base: Base) -> Order:
    """An order of a base, not sent yet."""
    return make_order(base, "Chandlery", [Wanted(cast.spare["oil"], Decimal(4))], at=NOW)


def taken_from(ship: Boat, part: Component) -> PartTaken:
    """A part taken, as its row has it, with nothing moved."""
    lacks = report_defect(ship, words="Taken", at=NOW)
    row = PartTaken(component=part, from_boat=ship, to_boat=ship, day=TODAY, lacks=lacks)
    return enter(row, at=NOW)


def photo_of(ship: Boat, base: Base) -> str:
    """A paper handed in at a boat's base and nowhere else, by the name it is kept under."""
    return keep_paper(Clean(ship.name.encode(), "image/jpeg", None), base=base, at=NOW).sha256


def with_things():
    """The cast, and one thing of each page of either base."""
    cast = assemble()
    ours = things(cast, "twice shy", "port engine-oil", "change", "T2")
    return cast, ours, things(cast, "far cry", "engine-oil", "change", "F1")


@pytest.fixture
def whole(db, today_is):
    return once_more("the cast and what pages tell of", with_things)


@pytest.fixture
def cast(whole):
    return whole[0]


@pytest.fixture
def ours(whole):
    return whole[1]


@pytest.fixture
def theirs(whole):
    return whole[2]


def address(name: str, ids: dict[str, Any], base: str = "harbour") -> str:
    return reverse(name, kwargs={"base": base} | {key: ids[key] for key in PAGES[name][0]})


@contextmanager
def nothing_written():
    """Refuses every statement that would write a row, but for the session's own."""

    def watch(execute, sql, params, many, context):
        writes = sql.split(None, 1)[0] in ("INSERT", "UPDATE", "DELETE", "REPLACE")
        assert not writes or "django_session" in sql, sql
        return execute(sql, params, many, context)

    with connection.execute_wrapper(watch):
        yield


def routes(patterns=None, before: str = ""):
    """Every address the router knows, with its name."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        whole = before + str(pattern.pattern)
        if hasattr(pattern, "url_patterns"):
            yield from routes(pattern.url_patterns, whole)
        else:
            yield whole, pattern.name


def test_every_address_the_router_knows_stands_in_a_table():
    """Those of the API stand in a test of their own."""
    named = {where: name for where, name in routes() if not (name or "").startswith("api")}
    assert len(set(named.values())) == len(named), "two addresses of one name"
    of_a_base = {name for where, name in named.items() if where.startswith("at/<str:base>/")}
    by_link = {name for where, name in named.items() if where.startswith("^[sS]/")}
    assert of_a_base == set(PAGES)
    assert by_link == SKIPPERS
    by_cleaner = {name for where, name in named.items() if where.startswith("^[cC]/")}
    assert by_cleaner == CLEANERS
    assert set(named.values()) - of_a_base - by_link - by_cleaner == set(PLAIN)


def test_what_is_named_for_the_api_is_reached_under_its_address_only():
    """So that no page escapes this walk by its name."""
    for where, name in routes():
        assert where.startswith("api/") == (name or "").startswith("api"), where


def test_pages_of_no_base_open_and_take_forms_as_their_table_says(sign_in):
    for name, codes in PLAIN.items():
        for browser, opened, sent in ((sign_in("office"), *codes[:2]), (Client(), *codes[2:])):
            with nothing_written():
                assert browser.get(reverse(name)).status_code == opened, name
                assert browser.post(reverse(name)).status_code == sent, name


def test_what_needs_a_sign_in_asks_for_it(cast, today_is):
    for name in ("home", "me"):
        assert Client().get(reverse(name))["Location"] == f"/sign-in/?next={reverse(name)}"


OTHER_METHODS = pytest.mark.parametrize(
    "method",
    [
        "put",
        *(pytest.param(m, marks=pytest.mark.long) for m in ("delete", "head", "patch", "options", "trace")),
    ],
)


@OTHER_METHODS
def test_no_other_method_writes_or_breaks_anything(sign_in, ours, method):
    browser = sign_in("manager")
    with nothing_written():
        for name in NAMES:
            answer = getattr(browser, method)(address(name, ours))
            assert answer.status_code in (200, 302, 405, 422), name


@OTHER_METHODS
def test_no_other_method_opens_what_is_shut(sign_in, ours, theirs, method):
    browser = sign_in("manager")
    for name in (n for n in NAMES if PAGES[n][0] and PAGES[n][1]):
        assert getattr(browser, method)(address(name, theirs)).status_code in (404, 405), name


@pytest.mark.parametrize("role", sorted(ALL))
def test_a_page_opens_to_who_may_see_it_and_opening_writes_nothing(sign_in, ours, role):
    browser = sign_in(role)
    for name, (_, opens, _, _) in PAGES.items():
        with nothing_written():
            answer = browser.get(address(name, ours))
        wanted = 405 if not opens else 200 if role in opens else 403
        if name == "work" and wanted == 200:
            wanted = 302  # no task is ticked: back to the week
        assert answer.status_code == wanted, name


def each_form():
    """Every form by every role; of those taken, the manager's, and everybody's in a whole run."""
    for role, name in product(sorted(ALL), NAMES):
        taken = role in PAGES[name][2] and role != "manager"
        yield pytest.param(role, name, marks=pytest.mark.long if taken else [])


@pytest.mark.parametrize(("role", "name"), list(each_form()))
def test_a_form_is_taken_from_who_may_send_it_and_refused_to_others_unwritten(sign_in, ours, role, name):
    _, _, sends, data = PAGES[name]
    data = {key: ours[word[1:]] if word[:1] == ":" else word for key, word in data.items()}
    browser = sign_in(role)
    if role in sends:
        assert browser.post(address(name, ours), data).status_code in (200, 302, 422)
        return
    with nothing_written():
        assert browser.post(address(name, ours), data).status_code == 403


def test_who_is_not_signed_in_is_asked_to_sign_in_first(cast, ours, today_is):
    browser = Client()
    for name, (_, opens, _, data) in PAGES.items():
        where = address(name, ours)
        answer = browser.get(where) if opens else browser.post(where, data)
        assert answer.status_code == 302, name
        assert answer["Location"].startswith("/sign-in/?next=/at/harbour/"), name


def test_another_bases_people_find_nothing_here(sign_in, ours):
    browser = sign_in("stranger")
    for name, (_, opens, _, data) in PAGES.items():
        with nothing_written():
            if opens:
                assert browser.get(address(name, ours)).status_code == 404, name
            assert browser.post(address(name, ours), data).status_code == 404, name


@pytest.mark.parametrize("name", [n for n in NAMES if PAGES[n][0]])
def test_a_guessed_number_of_another_bases_thing_finds_nothing(sign_in, theirs, name):
    _, opens, _, data = PAGES[name]
    browser = sign_in("manager")
    with nothing_written():
        for ids in (theirs, dict.fromkeys(theirs, 0), dict.fromkeys(theirs, 10**30)):
            if opens:
                assert browser.get(address(name, ids)).status_code == 404
            assert browser.post(address(name, ids), data).status_code == 404


def test_a_base_that_is_not_there_and_one_that_is_not_ours_are_told_apart_by_nobody(engineer, ours):
    answers = [engineer.get(address("week", ours, base)) for base in ("nowhere", "elsewhere")]
    assert [a.status_code for a in answers] == [404, 404]
    assert said(answers[0]) == said(answers[1])


@pytest.mark.parametrize(("from_on", "until_on"), [("2026-05-29", None), ("2025-01-01", "2026-05-27")])
def test_who_does_not_work_here_today_finds_nothing(cast, engineer, ours, from_on, until_on):
    cast.person["engineer"].memberships.update(from_on=from_on, until_on=until_on)
    assert engineer.get(address("week", ours)).status_code == 404


def test_a_thing_of_ours_is_not_reached_through_another_base_one_works_at(cast, sign_in, ours):
    elsewhere = cast.person["stranger"].memberships.get().base
    MembershipFactory(person=cast.person["manager"], base=elsewhere, role="manager")
    browser = sign_in("manager")
    for name in (n for n in NAMES if PAGES[n][0] and PAGES[n][1] and n not in OF_EVERY_BASE):
        assert browser.get(address(name, ours, "elsewhere")).status_code == 404, name


def test_another_bases_place_is_not_counted_and_its_spares_are_not_taken(cast, engineer, ours):
    far = cast.place["far store"]
    sent = {"spare": cast.spare["oil"].pk, "place": far.pk, "counted": "7"}
    assert engineer.post(address("count", ours), sent).status_code == 302
    used = {"more0-spare": cast.spare["oil"].pk, "more0-quantity": "1", "more0-place": far.pk}
    filed = {"filed_by": "base", "day": "2026-05-28"} | used
    assert engineer.post(address("return", ours), filed).status_code == 422
    assert not far.moves_in.exists()
    assert not far.moves_out.filter(quantity=Decimal(1)).exists()
