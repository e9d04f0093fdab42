"""Reports and returns as a phone sends them: kept, told apart, put into words, or refused in one sentence."""

import json
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import translation
from django.utils.translation import gettext

from fleet.charters.links import make_link, revoke_link
from fleet.charters.models import Link
from fleet.secret import new_secret
from maintenance.defects.actions import answer_report, end_defect, report_defect, see_report
from maintenance.defects.models import Defect
from maintenance.planning.actions import cancel_charter, change_boat
from maintenance.turnaround.by_phone import Odd
from maintenance.turnaround.let_in import MOST_AN_HOUR, MOST_LINES
from maintenance.turnaround.models import LinkDefect, LinkDefectMove, LinkReturn, Return
from tests import factories as make
from tests.cast import NOW, TODAY, due_list_holds
from tests.phones import CutLine, Phone, announced, iso, new_id, picture, report

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
PHONE = "+30 210 555 0101"
PROBLEM = "application/problem+json"


@pytest.fixture
def link(cast, today_is):
    type(cast.base).objects.filter(pk=cast.base.pk).update(phone=PHONE)
    return make_link(cast.charter["S2"], at=NOW - 5 * DAY)


@pytest.fixture
def phone(cast, link):
    return Phone(link[1], boat=cast.boat["sandpiper"].pk)


@pytest.fixture
def engine(cast):
    """A kind with a system that has a name, fitted to Sandpiper."""
    kind = make.KindFactory(code="belt", name="Drive belt", system="engine")
    part = make.ComponentFactory(code="sandpiper-belt", kind=kind)
    return make.FittingFactory(component=part, boat=cast.boat["sandpiper"], meter=None)


def only() -> Defect:
    return Defect.objects.get()


def odd() -> list[str]:
    rows = [*LinkDefect.objects.all(), *LinkReturn.objects.all()]
    assert len(rows) == 1
    return rows[0].odd


def nothing_kept() -> bool:
    return not (Defect.objects.exists() or Return.objects.exists() or LinkDefectMove.objects.exists())


def problem(answer, status: int) -> dict:
    """The parts of a problem document (RFC 9457, section 3.1) that a phone shows."""
    assert (answer.status_code, answer["Content-Type"]) == (status, PROBLEM)
    told = answer.json()
    assert told["status"] == status
    assert told["type"] == "about:blank"
    assert told["title"]
    assert told["detail"][:1].isupper()
    assert answer["Cache-Control"] == "no-store"
    return told


# A report


def test_a_report_is_acknowledged_with_what_is_still_wanted_of_it(cast, phone, link, today_is):
    data, name = picture(1), new_id("photo")
    answer = phone.report(
        words="Αντλία: διαρροή",
        works="sometimes",
        danger="no",
        where=f"place:{cast.place['sandpiper locker'].pk}",
        used=[{"kit": kit(cast), "name": "Impeller", "quantity": "1"}],
        language="el",
        photos=[announced(name, data)],
    )
    assert answer.status_code == 201
    assert answer.json() == {
        "id": new_id(1),
        "kept_at": NOW.isoformat(),
        "stand": "sent",
        "photos": {name: {"offset": 0, "whole": False, "refused": ""}},
        "sent": f"/s/{link[1]}/sent/",
    }
    row = only()
    assert (row.client_id, row.words, row.works, row.risk_now) == (
        new_id(1),
        "Αντλία: διαρροή",
        "sometimes",
        False,
    )
    assert (row.language, row.reporter, row.charter.code) == ("el", "Mate", "S2")
    assert (row.place, row.found_at) == (cast.place["sandpiper locker"], NOW - 3 * HOUR)
    assert LinkDefectMove.objects.get().move.quantity == 1
    assert odd() == []
    today_is.shift(HOUR)
    again = phone.report(words="Αντλία: διαρροή", photos=[announced(name, data)])
    assert (again.status_code, again.json()) == (200, answer.json())
    assert only().words == "Αντλία: διαρροή"


def kit(cast, place: str = "sandpiper locker", spare: str = "impeller kit") -> str:
    return f"kit-{cast.spare[spare].pk}-{cast.place[place].pk}"


def test_no_cookie_and_no_token_is_needed_and_a_capital_s_is_the_same(cast, phone):
    answer = phone.client.post(f"/S/{phone.secret}/reports/", report(), content_type="application/json")
    assert answer.status_code == 201
    assert "Set-Cookie" not in answer.headers


def test_what_has_no_column_stands_below_the_words_and_raises_no_alarm(phone, engine):
    phone.report(words="Squeals", where="system:engine", used_words="a fire extinguisher, smell of gas")
    row = only()
    assert row.words == "Squeals\n\nWhere: Engine\n\nUsed: a fire extinguisher, smell of gas"
    assert (row.alarm, odd()) == ("", [])


def test_not_sure_and_nothing_chosen_say_nothing(phone):
    for n, where in enumerate(("unsure", "")):
        phone.report(n, where=where)
    assert set(Defect.objects.values_list("words", flat=True)) == {"Heads pump leaks"}
    assert not Defect.objects.exclude(place=None, component=None).exists()


def test_without_a_name_it_is_the_charters_skippers(cast, phone):
    phone.report(reporter=" ")
    assert only().reporter == cast.charter["S2"].skipper != ""


@pytest.mark.parametrize("gone", ["place:999999", "part:999999", "system:sails", "place:x", "nonsense"])
def test_a_place_that_is_gone_is_told_in_words(phone, gone):
    phone.report(where=gone, where_said="Cockpit locker")
    assert only().words == "Heads pump leaks\n\nWhere: Cockpit locker"
    assert odd() == [Odd.NOT_ABOARD]


def test_a_place_of_another_boat_or_of_the_store_is_none_of_hers(cast, phone):
    for n, name in enumerate(("twice shy locker", "far cry locker", "store")):
        phone.report(n, where=f"place:{cast.place[name].pk}", where_said="A locker")
    for row in Defect.objects.all():
        assert (row.place, row.words) == (None, "Heads pump leaks\n\nWhere: A locker")


def test_a_part_moved_to_another_boat_meanwhile_is_told_in_words(cast, phone):
    """Two heads: each is a tile of its own, until one goes to another boat."""
    kind = make.KindFactory(code="head", name="Head", system="heads")
    fitted = [
        make.FittingFactory(
            component=make.ComponentFactory(code=f"head {side}", kind=kind),
            boat=cast.boat["sandpiper"],
            meter=None,
            position=side,
        )
        for side in ("port", "starboard")
    ]
    where = {"where": f"part:{fitted[0].component_id}", "where_said": "Head, port"}
    phone.report(1, **where)
    type(fitted[0]).objects.filter(pk=fitted[0].pk)._raw_delete("default")
    phone.report(2, **where)
    first, second = Defect.objects.order_by("pk")
    assert (first.component_id, first.words) == (fitted[0].component_id, "Heads pump leaks")
    assert (second.component, second.words) == (None, "Heads pump leaks\n\nWhere: Head, port")
    assert LinkDefect.objects.get(defect=second).odd == [Odd.NOT_ABOARD]


@pytest.mark.parametrize(
    ("used", "said", "flags"),
    [
        ({"quantity": "two"}, "Used: two × Impeller", [Odd.NO_NUMBER]),
        ({"quantity": "-1"}, "Used: -1 × Impeller", [Odd.NO_NUMBER]),
        ({"quantity": "0.0001"}, "Used: 0.0001 × Impeller", [Odd.NOT_ABOARD]),
        ({"quantity": "99999999"}, "Used: 99999999 × Impeller", [Odd.NO_NUMBER]),
        ({"kit": "kit-999-999"}, "Used: 1 × Impeller", [Odd.NOT_ABOARD]),
        ({"kit": "kit"}, "Used: 1 × Impeller", [Odd.NOT_ABOARD]),
        ({"kit": "", "name": ""}, "Used: 1 × a spare", [Odd.NOT_ABOARD]),
        ({"quantity": "0"}, "", []),
        ({"quantity": ""}, "", []),
        ({"quantity": 1}, "", []),
    ],
)
def test_a_spare_that_is_not_of_her_kit_or_no_number_is_told_in_words(cast, phone, used, said, flags):
    phone.report(used=[{"kit": kit(cast), "name": "Impeller", "quantity": "1"} | used])
    assert only().words == "Heads pump leaks" + (f"\n\n{said}" if said else "")
    assert odd() == flags
    assert not LinkDefectMove.objects.exists()


def test_a_spare_that_never_lay_aboard_is_taken_from_nowhere(cast, phone):
    for n, (spare, place) in enumerate([("oil", "sandpiper locker"), ("impeller kit", "store")]):
        phone.report(n, used=[{"kit": kit(cast, place, spare), "name": "It", "quantity": "1"}])
    assert not LinkDefectMove.objects.exists()
    assert set(Defect.objects.values_list("words", flat=True)) == {"Heads pump leaks\n\nUsed: 1 × It"}


def test_the_last_spare_used_twice_takes_the_book_below_nothing(cast, phone):
    for n in range(2):
        phone.report(n, used=[{"kit": kit(cast), "name": "Impeller", "quantity": "1"}])
    assert LinkDefectMove.objects.count() == 2
    assert due_list_holds()


def test_more_beside_the_words_than_there_is_room_for_is_cut_and_says_so(phone):
    many = [{"kit": "none", "name": "x" * 120, "quantity": "1"} for _ in range(200)]
    phone.report(words="a" * 19_000, used=many)
    row = only()
    assert len(row.words) == 20_000
    assert row.words.startswith("a" * 19_000 + "\n\nUsed: 1 × xxx")
    assert row.words.endswith("…")


# The boat


@pytest.mark.parametrize("boat", [999_999, "12", None, -1, 1.5, True, 10**30])
def test_a_boat_the_charter_never_had_is_not_guessed_at(cast, phone, boat):
    phone.report(boat=boat, boat_name="Bowline")
    row = only()
    assert row.boat == cast.boat["sandpiper"]
    assert row.words == "Heads pump leaks\n\nBoat on the phone: Bowline"
    assert odd() == [Odd.WRONG_BOAT]


def test_the_boat_it_was_opened_for_stays_hers_when_the_charter_changed_boats(cast, phone):
    change_boat(cast.charter["S2"], cast.boat["twice shy"], from_on=TODAY, why="Rudder", at=NOW)
    phone.report(where=f"place:{cast.place['sandpiper locker'].pk}")
    row = only()
    assert (row.boat, row.place) == (cast.boat["sandpiper"], cast.place["sandpiper locker"])
    assert odd() == [Odd.CHANGED]


# Words in any script, of any length


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ('"\\ud83d"', "\N{REPLACEMENT CHARACTER}"),  # half an emoji
        ('"a\\udc4db\\ud83d\\ude00"', "a\N{REPLACEMENT CHARACTER}b😀"),
        ('"a\\u0000b"', "ab"),
        ('" one\\r\\ntwo\\n "', "one\ntwo"),
        ('"\\u0645\\u0636\\u062e\\u0629 \\u202e abc"', "مضخة \u202e abc"),
        ('"👩‍🔧 泵漏水 🇬🇷"', "👩‍🔧 泵漏水 🇬🇷"),
    ],
)
def test_words_in_any_script_are_kept_as_they_are(phone, sent, kept):
    body = json.dumps(report(boat=phone.boat)).replace('"Heads pump leaks"', sent).encode()
    assert phone.post("reports/", body).status_code == 201
    assert only().words == kept


@pytest.mark.parametrize("length", [18_999, 19_000])
def test_as_many_letters_as_fit_are_kept(phone, length):
    assert phone.report(words="ж" * length).status_code == 201
    assert only().words == "ж" * length


@pytest.mark.parametrize("length", [19_001, 20_000, 100_000])
def test_too_many_letters_are_refused_and_sent_again_shorter_it_is_the_same_report(phone, length):
    told = problem(phone.report(words="ж" * length), 422)
    assert told["detail"] == f"Wanted up to 19000 letters, found {length}"
    assert nothing_kept()
    assert phone.report(words="ж" * 19_000).status_code == 201
    assert only().client_id == new_id(1)


@pytest.mark.parametrize("words", ["", " \n ", "\0", None])
def test_a_report_without_words_is_refused(phone, words):
    told = problem(phone.report(words=words), 422)
    assert told["detail"].startswith("Wanted what is wrong")
    assert nothing_kept()


# What is not as agreed


NO_OBJECT = [
    b"",
    b"{",
    b"[]",
    b"null",
    b'"words"',
    b"12",
    b"\xff\xfe\xfa",
    b"[" * 200_000,
    b'{"a":' * 100_000,
    b'{"id": ' + b"9" * 5_000 + b"}",
    b"words=Leaks&id=abcdefgh",
]
CANNOT_BE = [
    ("id", ""),
    ("id", "a" * 7),
    ("id", "a" * 65),
    ("id", "a-b-c-d-e"),
    ("id", "наш-номер"),
    ("id", 12345678),
    ("id", None),
    ("id", ["abcdefgh"]),
    ("words", 12),
    ("words", {"a": "b"}),
    ("works", "perhaps"),
    ("works", True),
    ("works", ["no"]),
    ("danger", "maybe"),
    ("used", "all"),
    ("used", ["all"]),
    ("used", [{}] * 201),
    ("photos", {"id": "abcdefgh"}),
    ("photos", [[]]),
    ("photos", [{"id": "short", "size": 1}]),
    ("photos", [{"id": "abcdefgh"}]),
    ("photos", [{"id": "abcdefgh", "size": "12"}]),
    ("photos", [{"id": "abcdefgh", "size": 0}]),
    ("photos", [{"id": "abcdefgh", "size": -1}]),
    ("photos", [{"id": "abcdefgh", "size": 1.5}]),
    ("photos", [{"id": "abcdefgh", "size": True}]),
    ("photos", [{"id": "abcdefgh", "size": 10**40}]),
    ("photos", [{"id": "abcdefgh", "size": 1}] * 2),
    ("photos", [{"id": f"abcdefgh{n}", "size": 1} for n in range(13)]),
]
GOES_ALONG = [
    ("boat_name", 12),
    ("where", {"place": 3}),
    ("where", "place:" + "9" * 400),
    ("where_said", []),
    ("used_words", 7),
    ("reporter", "N" * 500),
    ("reporter", 12),
    ("language", "tlh"),
    ("language", "x" * 100),
    ("language", 0),
    ("made_at", ""),
    ("made_at", "yesterday"),
    ("made_at", "2026-02-31T00:00:00Z"),
    ("made_at", "+010000-01-01T00:00:00.000Z"),  # what a phone says of the year 10000
    ("made_at", "2026-05-28T09:12:44"),
    ("made_at", "0001-01-01T00:00:00+14:00"),
    ("clock", 1_700_000_000),
    ("clock", None),
    ("clock", "9999-12-31T23:59:59-14:00"),
    ("photos", None),
    ("photos", [{"id": "abcdefgh", "size": 1, "sha256": "not one"}]),
    ("photos", [{"id": "ijklmnop", "size": 1, "sha256": 12}]),
]


@pytest.mark.parametrize("path", ["reports/", "returns/"])
def test_what_is_no_object_is_refused_in_a_sentence(phone, path):
    for body in NO_OBJECT:
        assert problem(phone.post(path, body), 422)["detail"] == "Wanted a JSON object", body[:20]
    assert nothing_kept()


def test_a_field_that_cannot_be_is_refused_and_nothing_is_kept(phone):
    for field, value in CANNOT_BE:
        answer = phone.report(**{field: value})
        assert answer.status_code == 422, (field, value)
        problem(answer, 422)
    assert nothing_kept()


@pytest.mark.parametrize("length", [8, 32, 64])
def test_ids_of_eight_to_sixty_four_letters_and_digits_are_taken(phone, length):
    assert phone.report(id="aZ09" * (length // 4)).status_code == 201


def test_what_only_goes_along_is_no_reason_to_refuse(phone):
    for n, (field, value) in enumerate(GOES_ALONG):
        assert phone.report(n, **{field: value}).status_code == 201, (field, value)
        row = Defect.objects.get(client_id=new_id(n))
        assert row.words.startswith("Heads pump leaks")
        assert row.recorded_at - 5 * DAY <= row.found_at <= row.recorded_at
        assert (Odd.CLOCK in row.came_by.odd) == (field in ("made_at", "clock")), (field, value)


def test_more_than_is_taken_at_once_is_said_so(phone):
    body = json.dumps(report(words="a" * (2 * 1024 * 1024 + 1))).encode()
    assert "more than the base takes" in problem(phone.post("reports/", body), 413)["detail"]
    assert nothing_kept()


def test_a_line_that_is_cut_in_the_middle_of_the_words_keeps_nothing(phone):
    data = json.dumps(report()).encode()
    for after in (0, 1, len(data) // 2, len(data) - 1):
        line = {"wsgi.input": CutLine(data, after), "CONTENT_LENGTH": str(len(data))}
        answer = phone.client.generic("POST", phone.at("reports/"), b"", "application/json", **line)
        problem(answer, 400)
    assert nothing_kept()


@pytest.mark.parametrize(
    ("path", "ways"),
    [
        ("reports/", "POST"),
        ("returns/", "POST"),
        ("stands/", "GET, HEAD"),
        ("photos/abcdefgh/", "HEAD, PATCH"),
    ],
)
def test_another_method_is_told_which_is_wanted(phone, path, ways):
    for method in {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"} - set(ways.split(", ")):
        answer = phone.client.generic(method, phone.at(path))
        assert (answer.status_code, answer["Allow"]) == (405, ways)
        assert answer["Content-Type"] == PROBLEM


# Who is let in


def test_an_id_that_is_somebody_elses_is_refused_without_a_word_of_it(cast, phone):
    theirs = Phone(make_link(cast.charter["S2"], at=NOW)[1], boat=phone.boat)
    theirs.report(words="Their secret", photos=[announced(new_id("photo"), b"12")])
    theirs.give_back(lost="Their torch")
    report_defect(cast.boat["sandpiper"], words="Base's secret", at=NOW, client_id=new_id("base"))
    for number in (1, "base"):
        answer = phone.report(number)
        assert set(problem(answer, 422)) == {"type", "title", "status", "detail"}
        assert "secret" not in answer.content.decode()
    problem(phone.give_back(1), 422)
    assert phone.stands().keys() == {new_id(1)}  # what the charter's other link sent is the charter's
    assert Defect.objects.count() == 3  # their report, their torch, the base's


def test_of_another_charter_nothing_is_told(cast, phone):
    theirs = Phone(make_link(cast.charter["T1"], at=NOW)[1], boat=cast.boat["twice shy"].pk)
    theirs.report(7, photos=[announced(new_id("photo"), picture(1))])
    assert phone.stands() == {}
    assert phone.head(new_id("photo")).status_code == 404
    assert phone.patch(new_id("photo"), b"abc").status_code == 404


def test_a_secret_that_is_incomplete_or_nobodys_is_said_so(link):
    for secret, said in (("tooshort", "not complete"), (new_secret(), "not known here")):
        phone = Phone(secret)
        for answer in (phone.report(), phone.give_back(), phone.patch("abcdefgh", b"abc")):
            told = problem(answer, 404)
            assert said in told["detail"]
            assert "telephone" not in told, "of two bases nobody knows which to ring"
        assert phone.head("abcdefgh").status_code == 404
    assert nothing_kept()


def test_a_link_the_base_closed_says_so_and_whom_to_ring(cast, phone, link):
    phone.report(1, photos=[announced(new_id("photo"), picture(1))])
    revoke_link(link[0], at=NOW)
    answers = (phone.report(1), phone.report(2), phone.give_back(), phone.patch(new_id("photo"), b"abc"))
    for answer in answers:
        told = problem(answer, 410)
        assert told["detail"].startswith("The base closed this way in.")
        assert told["telephone"] == "+302105550101"
    assert phone.client.get(phone.at("stands/")).status_code == 410
    assert LinkDefect.objects.count() == 1


@pytest.mark.parametrize(("day", "status"), [(0, 201), (89, 201), (91, 410)])
def test_what_a_phone_kept_in_a_drawer_comes_in_for_ninety_days(phone, link, today_is, day, status):
    today_is.move_to(link[0].ends_at + day * DAY)
    clock = iso(link[0].ends_at + day * DAY)
    answers = phone.report(clock=clock), phone.give_back(clock=clock)
    assert {answer.status_code for answer in answers} == {status}
    if status == 201:
        assert all(Odd.ENDED in row.odd for row in [LinkDefect.objects.get(), LinkReturn.objects.get()])
        assert phone.client.get(phone.at("")).status_code == 410, "the pages stay closed"
    else:
        assert nothing_kept()


def test_of_a_charter_that_was_called_off_it_is_kept_all_the_same(cast, today_is):
    phone = Phone(make_link(cast.charter["S3"], at=NOW - DAY)[1], boat=cast.boat["sandpiper"].pk)
    cancel_charter(cast.charter["S3"], at=NOW)
    assert phone.report().status_code == phone.give_back().status_code == 201
    assert LinkDefect.objects.get().odd == [Odd.CALLED_OFF]
    assert LinkReturn.objects.get().odd == [Odd.EARLY, Odd.CALLED_OFF]


def test_too_many_in_an_hour_are_put_off_and_danger_is_not(phone, today_is):
    for n in range(MOST_AN_HOUR):
        assert phone.report(n).status_code == 201
    answer = phone.report("late")
    assert "wait" in problem(answer, 429)["detail"]
    assert 0 < int(answer["Retry-After"]) <= 3600
    problem(phone.give_back("late"), 429)
    assert phone.report(0).status_code == 201
    assert phone.report("danger", danger="yes").status_code == 201
    today_is.shift(HOUR)
    assert phone.report("late").status_code == 201


# The return


def dial(cast, hours: str, **more) -> dict:
    return {"meter": cast.meter["sandpiper main"].pk, "name": "main", "hours": hours, "photo": ""} | more


def test_a_return_is_kept_whole(cast, phone, today_is):
    data = picture("dial")
    answer = phone.give_back(
        dials=[dial(cast, "1 225,4 h", photo=new_id("dial"))],
        answers={"water_in_bilge": "yes", "touched_bottom": "no", "gas_or_fumes_smelled": ""},
        lost="Torch\n\nFender",
        defects="Door rattles",
        used=[{"kit": kit(cast), "name": "Impeller", "quantity": "1"}],
        photos=[announced(new_id("dial"), data), announced(new_id("deck"), data)],
    )
    assert answer.status_code == 201
    assert set(answer.json()["photos"]) == {new_id("dial"), new_id("deck")}
    filed = Return.objects.get()
    assert (filed.client_id, filed.day, filed.filed_by) == (new_id(1), TODAY, "skipper")
    reading = filed.readings.get().reading
    assert (float(reading.dial), reading.how_known) == (1225.4, "photo")
    assert filed.answers["touched_bottom"] is False
    assert filed.answers["gas_or_fumes_smelled"] is None
    words = set(Defect.objects.values_list("words", "asked"))
    assert {("Torch", "lost or broken"), ("Fender", "lost or broken"), ("Door rattles", "own words")} < words
    assert filed.moves.count() == 1
    assert odd() == []
    today_is.shift(HOUR)
    assert phone.give_back().status_code == 200
    assert Return.objects.count() == 1
    assert due_list_holds()


@pytest.mark.parametrize("hours", ["0", "999999", "-5", "1190.39", "1.212", "4000 h"])
def test_a_dial_is_never_refused(cast, phone, hours):
    assert phone.give_back(lost="", dials=[dial(cast, hours)]).status_code == 201
    assert Return.objects.get().readings.count() == 1


@pytest.mark.parametrize("hours", ["many", "12:30", "1e5", "٣٤x", "9" * 30])
def test_hours_that_are_no_number_are_told_in_words(cast, phone, hours):
    assert phone.give_back(lost="", dials=[dial(cast, hours)]).status_code == 201
    assert only().words == f"Hour meter, main: {hours}"
    assert odd() == [Odd.NO_NUMBER]


def test_hours_of_a_meter_that_is_not_hers_and_a_second_dial_of_one_are_told_in_words(cast, phone):
    other = cast.meter["twice shy port"].pk
    dials = [dial(cast, "1200"), dial(cast, "1201"), dial(cast, "50", meter=other, name="port")]
    phone.give_back(lost="", dials=dials)
    assert float(Return.objects.get().readings.get().reading.dial) == 1200
    assert only().words == "Hour meter, main: 1201\n\nHour meter, port: 50"
    assert odd() == [Odd.NOT_ABOARD]


@pytest.mark.parametrize("said", [{}, {"reporter": "Me", "used_words": " "}, {"dials": [{"hours": ""}]}])
def test_a_return_that_says_nothing_is_a_slip_of_the_thumb(phone, said):
    told = problem(phone.give_back(**{"lost": "", "reporter": ""} | said), 422)
    assert told["detail"] == "Nothing was said: wanted hours, an answer, a word or a spare"
    assert nothing_kept()


@pytest.mark.parametrize(
    "said",
    [
        {"answers": {"water_in_bilge": "no"}},
        {"used_words": "Two fuses"},
        {"photos": [{"id": "abcdefgh", "size": 1}]},
    ],
)
def test_one_word_of_any_sort_is_a_return(phone, said):
    assert phone.give_back(**{"lost": ""} | said).status_code == 201


def test_more_lines_than_are_listed_stand_together_in_the_last(phone):
    lines = [f"Thing {n}" for n in range(MOST_LINES + 1)]
    assert phone.give_back(lost="\n".join(lines), defects="\r\n".join(lines)).status_code == 201
    for asked in ("lost or broken", "own words"):
        words = list(Defect.objects.filter(asked=asked).order_by("pk").values_list("words", flat=True))
        assert words == [*lines[: MOST_LINES - 1], "Thing 39\nThing 40"]


def test_the_longest_return_is_kept_whole(phone):
    """20 000 letters of each sort in 41 lines, and 200 spares nobody knows."""
    many = [{"kit": "none", "name": "x" * 120, "quantity": "1"} for _ in range(200)]
    text = "".join(f"{n:02}\n" for n in range(40)) + "y" * (20_000 - 120)
    assert phone.give_back(lost=text, defects=text, used=many).status_code == 201
    assert max(len(words) for words in Defect.objects.values_list("words", flat=True)) <= 20_000
    problem(phone.give_back(2, lost="y" * 20_001), 422)


@pytest.mark.parametrize(
    ("field", "value"),
    [("answers", {"water_in_bilge": "perhaps"}), ("dials", ["1200"]), ("dials", 12), ("defects", ["Leaks"])],
)
def test_a_return_with_a_field_that_cannot_be_is_refused(phone, field, value):
    problem(phone.give_back(**{field: value}), 422)
    assert nothing_kept()


@pytest.mark.parametrize("answers", [None, [], "yes", {"unknown question": "yes"}])
def test_answers_to_no_question_are_none(phone, answers):
    assert phone.give_back(answers=answers).status_code == 201
    assert set(Return.objects.get().answers.values()) == {None}


# How it stands


def test_the_phone_is_told_how_each_stands(cast, phone, today_is):
    for n in range(4):
        phone.report(n)
    phone.give_back("back")
    rows = list(Defect.objects.filter(client_id__isnull=False).order_by("pk"))
    see_report(rows[1], who="Tomé", at=NOW)
    answer_report(rows[2], words="We come", who="Tomé", at=NOW)
    end_defect(rows[3], step="put right", who="Tomé", at=NOW)
    told = phone.stands()
    stands = [told[new_id(n)]["stand"] for n in (*range(4), "back")]
    assert stands == ["sent", "seen", "answered", "ended", "sent"]
    assert all(one["said"] for one in told.values())
    assert told[new_id(1)]["said"].startswith("Seen by the base, 28 May 2026")


def test_more_reports_than_a_page_shows_are_told_of(cast, phone, today_is):
    for n in range(3 * MOST_AN_HOUR):
        if n % MOST_AN_HOUR == 0:
            today_is.shift(2 * HOUR)
        assert phone.report(n).status_code == 201
    assert len(phone.stands()) == 3 * MOST_AN_HOUR


# In the phone's language


def in_german(words: str) -> str:
    with translation.override("de"):
        return gettext(words)


def test_what_is_in_the_way_is_said_in_the_phones_language(cast, phone, link):
    german = Phone(phone.secret, phone.boat, Client(headers={"Accept-Language": "de-CH, de;q=0.9, en;q=0.1"}))
    asked = german.give_back(lost="")
    assert (asked["Content-Language"], "Accept-Language" in asked["Vary"]) == ("de", True)
    nothing = "Nothing was said: wanted hours, an answer, a word or a spare"
    assert problem(asked, 422)["detail"] == in_german(nothing)
    revoke_link(link[0], at=NOW)
    assert in_german("The base closed this way in") in problem(german.report(), 410)["detail"]


def test_the_reports_of_a_closed_link_stay_with_the_base(phone, link):
    phone.report()
    Link.objects.update(revoked_at=NOW)
    assert Defect.objects.open().get().words == "Heads pump leaks"
