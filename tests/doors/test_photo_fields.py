"""The fields for photos and papers: each file that is none is named, and no good one is asked for twice."""

import os
import re
from contextlib import closing
from datetime import timedelta
from io import BytesIO
from zipfile import ZipFile

import pytest
import time_machine
from django import forms
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import QueryDict
from django.test import RequestFactory
from django.utils.datastructures import MultiValueDict

from fleet.pages.fields import PaperField, PhotosField
from fleet.pages.waiting import A_DAY, MOST_WAITING
from fleet.papers.content import Clean, clean
from fleet.papers.intake import MOST_FILES
from fleet.papers.refused import MOST_BYTES
from tests.cast import NOW
from tests.papers import encoded, noted, painted, pdf

ONE = encoded(painted(), exif=noted(6, taken="2026:05:28 15:30:00").tobytes())
TWO = encoded(painted(40, 40), "PNG")


class Sheet(forms.Form):
    words = forms.CharField()
    photos = PhotosField("Photos", most=3)
    paper = PaperField("Certificate")


def zipped() -> bytes:
    out = BytesIO()
    with ZipFile(out, "w") as archive:
        archive.writestr("a", "b")
    return out.getvalue()


def file(data: bytes, name: str = "one.jpg", declared: str = "image/jpeg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, declared)


def sheet(*photos, paper=(), words="Leaks", kept="", form=Sheet) -> forms.Form:
    sent = QueryDict(kept, mutable=True)
    sent["words"] = words
    return form(sent, MultiValueDict({"photos": list(photos), "paper": list(paper)}))


def carried(form: forms.Form, name: str = "photos") -> str:
    """What a browser sends of a form put before it again: the ticks that stand in it."""
    sent = QueryDict(mutable=True)
    notes = re.findall(rf'type="checkbox" name="{name}-kept" value="([^"]+)" checked', str(form[name]))
    sent.setlist(f"{name}-kept", notes)
    return sent.urlencode()


def test_photos_come_out_clean_in_their_order():
    form = sheet(file(ONE), file(TWO, "two.png"), paper=[file(pdf(), "raft.pdf")])
    assert form.is_valid()
    assert form.cleaned_data["photos"] == [clean(ONE), clean(TWO)]
    assert all(isinstance(photo, Clean) for photo in form.cleaned_data["photos"])
    assert form.cleaned_data["paper"] == pdf()


def test_none_is_an_empty_list_and_no_paper():
    form = sheet()
    assert form.is_valid()
    assert (form.cleaned_data["photos"], form.cleaned_data["paper"]) == ([], None)


def test_what_is_asked_for_and_not_given_is_named():
    class Asked(forms.Form):
        photos = PhotosField("Photos", required=True)
        paper = PaperField("Certificate", required=True)

    assert sheet(form=Asked).errors == {
        "photos": ["Photos: wanted a photo (JPEG, PNG, WebP, HEIC) or a PDF"],
        "paper": ["Certificate: wanted a photo (JPEG, PNG, WebP, HEIC) or a PDF"],
    }
    assert sheet(file(ONE), paper=[file(ONE)], form=Asked).is_valid()
    assert "required" not in str(Asked()["photos"])  # a browser would not see what came in before


def test_each_file_that_is_none_is_named_by_its_place_and_name_with_what_was_found():
    form = sheet(
        file(ONE), file(zipped(), "two.jpg"), file(b"", "<b>\n3.jpg"), paper=[file(b"Hello", "raft.pdf")]
    )
    wanted = "wanted a photo (JPEG, PNG, WebP, HEIC) or a PDF, found"
    assert form.errors == {
        "photos": [
            f"Photo 2 (two.jpg): {wanted} a zip archive or an office document",
            f"Photo 3 (<b>3.jpg): {wanted} an empty file",
        ],
        "paper": [f"Certificate (raft.pdf): {wanted} text"],
    }
    assert "&lt;b&gt;" in str(form.errors)


def test_a_name_and_a_declared_type_count_for_nothing():
    form = sheet(file(ONE, "page.html", "text/html"))
    assert form.is_valid()
    assert form.cleaned_data["photos"][0].mime == "image/jpeg"
    assert not sheet(file(b"<svg>", "one.jpg")).is_valid()


def test_too_many_are_counted_and_the_first_of_them_wait():
    form = sheet(*[file(encoded(painted(8 + n, 8)), f"{n}.jpg") for n in range(5)])
    assert form.errors["photos"] == ["Photos: wanted at most 3 files, found 5"]
    assert carried(form).count("photos-kept") == 3


def test_the_same_photo_chosen_twice_is_one():
    form = sheet(file(ONE), file(ONE))
    assert form.is_valid()
    assert len(form.cleaned_data["photos"]) == 1


def test_a_form_sent_again_brings_along_what_came_in_well(papers_here):
    first = sheet(file(ONE), file(zipped(), "two.jpg"), paper=[file(pdf(), "raft.pdf")], words="")
    assert set(first.errors) == {"words", "photos"}
    assert "one.jpg is here already" in str(first["photos"])
    assert "two.jpg" not in str(first["photos"])
    again = sheet(file(TWO), kept=carried(first) + "&" + carried(first, "paper"))
    assert again.is_valid()
    assert again.cleaned_data["photos"] == [clean(ONE), clean(TWO)]
    assert again.cleaned_data["photos"][0].taken_at == clean(ONE).taken_at
    assert again.cleaned_data["paper"] == pdf()


def test_it_is_brought_along_as_often_as_the_form_is_sent_again():
    second = sheet(words="", kept=carried(sheet(file(ONE), words="")))
    third = sheet(kept=carried(second))
    assert third.is_valid()
    assert third.cleaned_data["photos"] == [clean(ONE)]


def test_a_form_that_is_good_at_once_lets_nothing_wait(papers_here):
    assert sheet(file(ONE)).is_valid()
    assert not papers_here.exists()


def test_a_paper_chosen_anew_stands_for_the_one_that_came_in_before():
    first = sheet(paper=[file(pdf(), "raft.pdf")], words="")
    again = sheet(paper=[file(ONE)], kept=carried(first, "paper"))
    assert again.is_valid()
    assert again.cleaned_data["paper"] == clean(ONE)


@pytest.mark.parametrize("note", ["x", "x:y:z", "../../etc/passwd", "é\0", ":" * 300])
def test_a_note_that_is_not_ours_brings_nothing(note):
    sent = QueryDict(mutable=True)
    sent["photos-kept"] = note
    form = sheet(kept=sent.urlencode())
    assert form.errors["photos"] == ["Photo 1: wanted this file once more, found that it is no longer here"]
    assert "checkbox" not in str(form["photos"])


def test_a_note_is_good_for_a_day():
    with time_machine.travel(NOW, tick=False) as clock:
        kept = carried(sheet(file(ONE), words=""))
        clock.move_to(NOW + timedelta(seconds=A_DAY))
        assert sheet(kept=kept).is_valid()
        clock.move_to(NOW + timedelta(seconds=A_DAY + 1))
        assert not sheet(kept=kept).is_valid()


def test_what_waited_too_long_is_swept_when_the_next_one_waits(papers_here):
    carried(sheet(file(ONE), words=""))
    (old,) = (papers_here / "waiting").iterdir()
    os.utime(old, (0, 0))
    carried(sheet(file(TWO), words=""))
    (new,) = (papers_here / "waiting").iterdir()
    assert new != old


def test_no_more_wait_than_the_disk_is_to_hold(papers_here):
    (papers_here / "waiting").mkdir(parents=True)
    with (papers_here / "waiting" / ".large").open("wb") as large:
        large.truncate(MOST_WAITING)
    form = sheet(file(ONE), words="")
    assert carried(form) == ""
    assert set(form.errors) == {"words"}


def test_the_button_takes_several_files_or_one_and_the_camera_s_too():
    assert re.search(
        r'<input type="file" name="photos" accept="image/\*,application/pdf" multiple[^>]*>',
        str(Sheet()["photos"]),
    )
    assert "multiple" not in str(Sheet()["paper"])


def come_in(*files: bytes):
    """A request as it comes in over the wire."""
    named = [file(data, f"{n}.jpg") for n, data in enumerate(files)]
    return closing(RequestFactory().post("/", {"photos": named, "words": "Leaks"}))


def test_a_file_too_long_is_cut_as_it_comes_in_and_refused():
    with come_in(encoded(painted()) + b"\0" * (MOST_BYTES + 3_000_000), ONE) as request:
        assert [len(f.read()) for f in request.FILES.getlist("photos")] == [MOST_BYTES + 1, len(ONE)]
        form = Sheet(request.POST, request.FILES)
        assert form.errors["photos"] == ["Photo 1 (0.jpg): wanted at most 15 MB, found more"]


def test_of_very_many_files_few_are_kept_but_all_are_counted():
    with come_in(*[ONE] * (MOST_FILES + 20)) as request:
        lengths = [len(f.read()) for f in request.FILES.getlist("photos")]
        assert lengths == [len(ONE)] * MOST_FILES + [0] * 20
        form = Sheet(request.POST, request.FILES)
        assert form.errors["photos"][0] == "Photos: wanted at most 3 files, found 50"
