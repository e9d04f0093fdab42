"""Two alarms at once: a look is never of a danger that who looks was not told of."""

import pytest
from django.urls import reverse

from fleet.charters.links import make_link
from fleet.papers.actions import keep_paper
from maintenance.defects.actions import report_defect
from maintenance.defects.correcting import JoinRefused, join_defect
from maintenance.defects.models import Defect
from maintenance.turnaround.by_link import Told, report_by_link
from tests.cast import NOW
from tests.doors.sheets import said, tap
from tests.papers import encoded, painted

FIRE, GAS = "Burning smell behind the panel", "Smell of gas behind the panel"


@pytest.fixture
def report(cast, today_is):
    def keep(words: str, **more) -> Defect:
        return report_defect(cast.boat["blank page"], words=words, at=NOW, **more)

    return keep


def test_alarms_of_two_sorts_are_not_proposed_nor_joined_until_one_was_looked_at(engineer, report):
    fire, gas = report(FIRE), report(GAS)
    page = said(engineer.get(reverse("defect-join", args=["harbour", gas.pk])))
    assert "Same words" not in page
    assert "same words" not in page
    for one, other in ((fire, gas), (gas, fire)):
        with pytest.raises(JoinRefused, match="another danger than the other; look at it first"):
            join_defect(one, other, at=NOW)
    tap(engineer, engineer.get(reverse("look", args=["harbour", fire.pk])), "Nothing there")
    assert list(Defect.objects.not_looked_at()) == [gas], "a look at one leaves the other to be looked at"


def test_an_alarm_does_not_go_under_a_danger_that_does_not_say_of_what(engineer, report):
    danger, gas = report("Come quick", risk_now=True), report(GAS)
    with pytest.raises(JoinRefused, match="another danger"):
        join_defect(gas, danger, at=NOW)
    engineer.post(reverse("defect-join", args=["harbour", gas.pk]), {"other": danger.pk, "what": "join"})
    assert list(Defect.objects.open()) == [gas]
    assert "Come quick" in said(engineer.get(reverse("look", args=["harbour", gas.pk])))


def test_the_look_page_shows_the_words_of_all_that_is_joined_with_each_caution(engineer, report):
    fire, again = report(FIRE), report("Brandgeruch im Salon", reporter="Jonte", risk_now=True)
    join_defect(again, fire, at=NOW)
    page = said(engineer.get(reverse("look", args=["harbour", fire.pk])))
    assert "The look is of what was joined to it as well:" in page
    assert "Brandgeruch im Salon" in page
    assert "Jonte" in page
    assert page.count("Feel before you open") == 1


def test_the_caution_of_another_sort_that_was_joined_once_looked_at_stands_there_too(engineer, report):
    fire, gas = report(FIRE), report(GAS)
    tap(engineer, engineer.get(reverse("look", args=["harbour", gas.pk])), "There is something")
    join_defect(gas, fire, at=NOW)
    page = said(engineer.get(reverse("look", args=["harbour", fire.pk])))
    assert GAS in page
    assert "Feel before you open" in page
    assert "Shut off at the bottle" in page


def test_look_and_grade_show_the_photo_with_its_sender_and_time(cast, engineer, report):
    paper = keep_paper(encoded(painted()), base=cast.base, at=NOW, by=cast.person["engineer"])
    fire = report(FIRE, reporter="Jonte", papers=[paper])
    for page in ("look", "grade"):
        answer = engineer.get(reverse(page, args=["harbour", fire.pk]))
        assert reverse("paper", args=["harbour", paper.sha256]) in answer.content.decode()
        assert "Jonte" in said(answer)
        assert "16:00" in said(answer)


def test_joining_tells_the_senders_of_both_that_it_was_seen(cast, client, engineer, today_is):
    link, word = make_link(cast.charter["S2"], at=NOW)
    one, other = (
        report_by_link(link, cast.boat["sandpiper"], Told(words=words), at=NOW)
        for words in ("Heads pump leaks", "Heads pump drips")
    )
    there = reverse("skipper-sent", args=[word])
    assert said(client.get(there)).count("not seen yet") == 2
    engineer.post(reverse("defect-join", args=["harbour", other.pk]), {"other": one.pk, "what": "join"})
    page = said(client.get(there))
    assert "Heads pump drips" in page
    assert "not seen yet" not in page
