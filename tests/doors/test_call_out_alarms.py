"""A call-out for what is happening now: what to tell them first, and that every list says so."""

from datetime import timedelta

from django.urls import reverse

from maintenance.defects.actions import look_at, report_defect, say_if_happening
from maintenance.pages.alarm_wording import aboard
from tests.cast import NOW
from tests.doors.sheets import said, sheet_with, tap


def new(browser, cast, **query):
    return browser.get(reverse("new-call-out", args=["harbour", cast.boat["sandpiper"].pk]), query)


def test_what_is_happening_now_is_told_from_the_start_with_one_advice_for_all(cast, engineer, today_is):
    type(cast.charter["S2"]).objects.filter(code="S2").update(skipper="A. Skipper")
    assert "Shut off at the bottle".lower() in said(new(engineer, cast)).lower()
    assert "nothing switched on or off" not in said(new(engineer, cast))
    early = NOW - timedelta(minutes=40)
    row = report_defect(cast.boat["sandpiper"], words="Smoke from the panel", at=early)
    say_if_happening(row, happening=True, at=early)
    page = new(engineer, cast, defect=row.pk)
    words = said(page)
    assert aboard("smoke") in words
    assert aboard("gas") not in words
    assert "HAPPENING NOW: Smoke from the panel" in words
    assert "S2, A. Skipper ," in words or "S2, A. Skipper," in words
    assert sheet_with(page, "Open the call-out").values["told_at"] == ["2026-05-28T15:20"]
    call = engineer.get(tap(engineer, page, "Open the call-out", where="A bay")["Location"])
    html = call.content.decode()
    assert aboard("smoke") in said(call)
    assert "happening now" in said(call)
    assert '<option value="Engineer">' in html
    assert '<option value="Manager">' not in html
    assert html.index("Promise it") < html.index("On the way")
    assert '<details class="sheet" open><summary><b>Promise it' in html
    every = reverse("call-outs", args=["harbour"])
    assert "Happening now." in said(engineer.get(every))
    assert "A. Skipper" in said(engineer.get(every))
    look_at(row, who="Tomé", seen="By telephone: out", nothing=False, at=NOW)
    assert "Happening now." not in said(engineer.get(every))
