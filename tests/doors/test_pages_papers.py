"""A paper's page: to whoever may look around at a base that holds it, and harmless in any browser."""

import logging

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse

from fleet.papers.actions import keep_paper
from fleet.papers.models import Paper
from fleet.papers.serving import HEADERS, serve
from fleet.papers.store import place_of
from tests.cast import NOW
from tests.doors.sheets import said
from tests.papers import encoded, painted, pdf


@pytest.fixture
def photo(cast) -> Paper:
    return keep_paper(encoded(painted()), base=cast.base, at=NOW)


@pytest.fixture
def theirs(cast) -> Paper:
    elsewhere = cast.person["stranger"].memberships.get().base
    return keep_paper(encoded(painted(), "PNG"), base=elsewhere, at=NOW)


def where(sha256: str, base: str = "harbour") -> str:
    return reverse("paper", args=[base, sha256])


@pytest.mark.parametrize("role", ["engineer", "manager", "office"])
def test_whoever_works_at_the_base_sees_its_papers(sign_in, photo, role):
    answer = sign_in(role).get(where(photo.sha256))
    assert answer.status_code == 200
    assert answer.content == place_of(photo.sha256).read_bytes()


def test_who_does_not_work_there_sees_none_of_it(cast, sign_in, photo, theirs):
    stranger, ours = sign_in("stranger"), sign_in("engineer")
    assert stranger.get(where(photo.sha256)).status_code == 404
    assert stranger.get(where(photo.sha256, "elsewhere")).status_code == 404
    assert stranger.get(where(theirs.sha256, "elsewhere")).status_code == 200
    assert ours.get(where(theirs.sha256)).status_code == 404
    answer = Client().get(where(photo.sha256))
    assert (answer.status_code, answer["Location"][:9]) == (302, "/sign-in/")


def test_what_is_held_elsewhere_and_what_nobody_holds_are_told_apart_by_nobody(engineer, photo, theirs):
    answers = [engineer.get(where(name)) for name in (theirs.sha256, "0" * 64, "x", photo.sha256.upper())]
    assert [a.status_code for a in answers] == [404] * 4
    assert len({said(a) for a in answers}) == 1


def test_a_paper_held_by_both_bases_is_seen_by_both(cast, sign_in, theirs):
    keep_paper(encoded(painted(), "PNG"), base=cast.base, at=NOW)
    assert sign_in("office").get(where(theirs.sha256)).status_code == 200
    assert sign_in("stranger").get(where(theirs.sha256, "elsewhere")).status_code == 200


SCRIPT = b"/AA << /O << /S /JavaScript /JS (app.alert\\(1\\)) >> >>"
SORTS = [
    (encoded(painted()), "image/jpeg", "inline", "jpg"),
    (encoded(painted(), "HEIF"), "image/jpeg", "inline", "jpg"),
    (encoded(painted(), "PNG"), "image/png", "inline", "png"),
    (
        pdf(b"/AA << /O << /S /JavaScript /JS (app.alert\\(1\\)) >> >>"),
        "application/pdf",
        "attachment",
        "pdf",
    ),
]


@pytest.mark.parametrize(("data", "mime", "shown", "ending"), SORTS, ids=["jpeg", "heic", "png", "pdf"])
def test_a_paper_is_told_for_what_it_is_and_can_run_nothing(cast, engineer, data, mime, shown, ending):
    paper = keep_paper(data, base=cast.base, at=NOW)
    answer = engineer.get(where(paper.sha256))
    assert answer["Content-Type"] == mime
    assert answer["Content-Disposition"] == f'{shown}; filename="paper-{paper.sha256[:8]}.{ending}"'
    assert answer["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Cross-Origin-Resource-Policy"] == "same-origin"
    assert answer["Cache-Control"] == "private, max-age=31536000, immutable"
    assert "Cookie" in answer["Vary"]


def test_other_doors_serve_it_as_safely(photo):
    answer = serve(photo, RequestFactory().get("/"))
    assert {name: answer[name] for name in HEADERS} == HEADERS
    assert HEADERS["X-Content-Type-Options"] == "nosniff"


def test_a_paper_of_no_sort_we_know_is_only_handed_over(cast, engineer, photo):
    Paper.objects.update(mime="text/html")
    answer = engineer.get(where(photo.sha256))
    assert answer["Content-Type"] == "application/octet-stream"
    assert answer["Content-Disposition"].startswith("attachment")


def test_a_browser_that_has_it_is_told_so_and_only_after_who_it_is(sign_in, engineer, photo):
    tag = engineer.get(where(photo.sha256))["ETag"]
    answer = engineer.get(where(photo.sha256), headers={"If-None-Match": tag})
    assert (answer.status_code, answer.content, answer["ETag"]) == (304, b"", tag)
    assert "immutable" in answer["Cache-Control"]
    assert engineer.get(where(photo.sha256), headers={"If-None-Match": '"other"'}).status_code == 200
    asked = sign_in("stranger").get(where(photo.sha256), headers={"If-None-Match": tag})
    assert asked.status_code == 404


def test_a_browser_may_ask_for_the_head_alone(engineer, photo):
    answer = engineer.head(where(photo.sha256))
    assert (answer.status_code, answer["Content-Type"], answer.content) == (200, "image/jpeg", b"")


def test_a_paper_whose_file_is_gone_is_not_found_and_the_log_names_it(engineer, photo, caplog):
    place_of(photo.sha256).unlink()
    with caplog.at_level(logging.ERROR, logger="fleet.papers"):
        assert engineer.get(where(photo.sha256)).status_code == 404
    assert photo.sha256 in caplog.text


def test_opening_a_paper_asks_the_store_a_fixed_few_times(engineer, photo, django_assert_max_num_queries):
    with django_assert_max_num_queries(5):
        engineer.get(where(photo.sha256))
