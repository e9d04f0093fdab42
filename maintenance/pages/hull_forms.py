"""The hull's three forms: that she touched something, a look at her, damage at a place with its photos."""

import uuid
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from fleet.pages.fields import PhotosField, day_field
from fleet.papers.actions import keep_paper
from maintenance.defects.actions import report_defect
from maintenance.defects.hull import HullLook, Touch
from maintenance.defects.looking import holds, record_look, record_touch
from maintenance.defects.models import Defect
from maintenance.defects.rules import BOTTOMS, FORCES, HULL_PLACES, METHODS, NOT_KNOWN, TOUCHED
from maintenance.pages import wording
from maintenance.pages.defect_rows import kept_once, who_field
from maintenance.pages.hull import CAUTIONS
from maintenance.pages.tiles import tiles_field
from maintenance.turnaround.at_sea import under_way

MOST_PHOTOS = 12
FOUND = "found"  # in the address of the damage form: a look that was not sound leads there
METHODS_MEAN = {
    "ashore": "out of the water, keel and rudder to be seen and touched",
    "diver": "does not see what holds the keel",
    "camera": "does not see what holds the keel",
    "from aboard": "bilge, keel bolts, what can be seen from inside or the dinghy",
}


def _choices(values: tuple[str, ...]) -> list[tuple[str, str]]:
    return [(value, wording.sentence(value)) for value in values]


def _text(
    label: str, most: int, wanted: str, *, required: bool = True, help_text: str = ""
) -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=most,
        required=required,
        help_text=help_text,
        widget=forms.Textarea(attrs={"rows": 3, "dir": "auto"}),
        error_messages={
            "required": f"{label}: wanted {wanted}",
            "max_length": f"{label}: wanted up to {most} letters",
        },
    )


class TouchForm(forms.Form):
    """When, with what, on what, how hard; as far as it is known."""

    day = day_field("Day")
    touched = tiles_field("Touched with", _choices(TOUCHED), "one of these")
    bottom = tiles_field("On what", _choices(BOTTOMS), "one of these")
    force = tiles_field(
        "How hard", _choices(FORCES), "one of these", help_text="how it felt says nothing about the keel"
    )
    words = _text(
        "In words", 500, "", required=False, help_text="where it was, under sail or engine, how fast"
    )
    reporter = who_field("Who tells it")


class LookForm(forms.Form):
    """Of which touch, when, how, who, what was seen, and whether anything keeps her in."""

    touch = forms.ChoiceField(
        label="Of which touch",
        required=False,
        error_messages={"invalid_choice": "Of which touch: wanted one in the list, or none"},
    )
    day = day_field("Day")
    method = tiles_field("How", _choices(METHODS), "how it was looked at", means=METHODS_MEAN)
    who = who_field("Who looked")
    touched = tiles_field(
        "What took the touch, as it looks",
        _choices(TOUCHED),
        "one of these",
        help_text="the keel wants a look ashore, whoever dived",
        required=False,
    )
    seen = _text("What was seen", 1000, "what was seen")
    sound = tiles_field(
        "Did anything found keep her in?",
        [("yes", "No"), ("no", "Yes")],
        "yes or no",
        means={"yes": "nothing found that keeps her in", "no": "not sound; say the damage next"},
    )
    papers = PhotosField("Photos or report", most=MOST_PHOTOS)

    def __init__(self, boat: Boat, desk: Desk, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        rows = Touch.objects.standing().filter(boat=boat).order_by("-day", "-pk")
        self.touches = {str(touch.pk): touch for touch in rows}
        said = [
            (key, f"{wording.day(t.day, desk.today)}, {t.touched}, {t.force}")
            for key, t in self.touches.items()
        ]
        self.fields["touch"].choices = [("", "None: a routine look"), *said]  # type: ignore[attr-defined]


class DamageForm(forms.Form):
    """Where on her hull, what, with photos."""

    hull = tiles_field("Where on her", _choices(HULL_PLACES), "a place on her hull")
    words = _text("What is there", 2000, "what is to be seen", help_text="how long, how deep, since when")
    papers = PhotosField("Photos", most=MOST_PHOTOS, help_text="one near, one from further off")
    reporter = who_field("Who found it")


def _ship(desk: Desk, boat: int) -> Boat:
    return get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)


def _papers(form: forms.Form, desk: Desk) -> list[Any]:
    given = form.cleaned_data["papers"]
    return [keep_paper(paper, base=desk.base, at=desk.now, by=desk.person) for paper in given]


def _page(request: HttpRequest, ship: Boat, desk: Desk, form: forms.Form, **more: Any) -> HttpResponse:
    context = {
        "desk": desk,
        "here": "boats",
        "form": form,
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
        "back": reverse("hull", args=[desk.base.code, ship.pk]),
        "back_says": "Back to her hull",
    }
    return render(request, "maintenance/act.html", context | more, status=422 if form.is_bound else 200)


@at_base("report a defect")
def touched(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """Enters a touch in the register, where it stays for life; it holds her until looked at."""
    ship = _ship(desk, boat)
    unknown = dict.fromkeys(("touched", "bottom", "force"), "not known")
    form = TouchForm(
        request.POST or None, initial=unknown | {"day": desk.today, "reporter": desk.person.name}
    )
    if request.method == "POST" and form.is_valid():
        charter = under_way(ship, desk.base, desk.now)

        def keep(client_id: str | None) -> Touch:
            given: dict[str, Any] = form.cleaned_data
            return record_touch(
                ship, **given, charter=charter, at=desk.now, by=desk.person, client_id=client_id
            )

        if kept_once(Touch, request, form, keep) is not None:
            messages.success(
                request, f"{ship.name}: the touch is in the register. It holds her until she is looked at."
            )
            return redirect("hull", base=desk.base.code, boat=ship.pk)
    more = {
        "heading": f"{ship.name} touched something",
        "send": "Enter it in the register",
        "cautions": CAUTIONS,
    }
    return _page(request, ship, desk, form, **more)


@at_base("look at a hull")
def looked(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """Keeps a look at her hull by a named person."""
    ship = _ship(desk, boat)
    initial = {
        "day": desk.today,
        "who": desk.person.name,
        "touch": request.GET.get("touch", ""),
        "touched": NOT_KNOWN,
    }
    form = LookForm(ship, desk, request.POST or None, request.FILES or None, initial=initial)
    if (
        request.method == "POST"
        and form.is_valid()
        and (look := _look(request, ship, form, desk)) is not None
    ):
        if look.sound:
            messages.success(request, f"{ship.name}: the look is in the register.{_still(look)}")
            return redirect("hull", base=desk.base.code, boat=ship.pk)
        messages.warning(
            request, f"{ship.name}: the look is in the register. Say what was found, place by place."
        )
        return redirect(f"{reverse('hull-damage', args=[desk.base.code, ship.pk])}?{FOUND}=1")
    more = {"heading": f"A look at {ship.name}’s hull", "send": "Keep the look", "cautions": CAUTIONS}
    return _page(request, ship, desk, form, **more)


def _still(look: HullLook) -> str:
    """That the touch holds her for all that, where such a look does not settle it."""
    if look.touch is None or not look.sound or not holds(look.touch):
        return ""
    return " It is not enough: the touch still holds her, wanted a look ashore."


def _look(request: HttpRequest, ship: Boat, form: LookForm, desk: Desk) -> HullLook | None:
    given: dict[str, Any] = dict(form.cleaned_data)
    papers = _papers(form, desk)
    changed = {
        "touch": form.touches.get(given["touch"]),
        "sound": given["sound"] == "yes",
        "touched": given["touched"] or NOT_KNOWN,
        "papers": papers,
        "charter": under_way(ship, desk.base, desk.now),
    }

    def keep(client_id: str | None) -> HullLook:
        return record_look(ship, **given | changed, at=desk.now, by=desk.person, client_id=client_id)

    kept: HullLook | None = kept_once(HullLook, request, form, keep)
    return kept


@at_base("report a defect")
def damage(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """Adds known damage at a place on her hull: a defect like any other."""
    ship = _ship(desk, boat)
    initial = {"hull": request.GET.get("hull", ""), "reporter": desk.person.name}
    form = DamageForm(request.POST or None, request.FILES or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        papers = _papers(form, desk)

        def keep(client_id: str | None) -> Defect:
            given: dict[str, Any] = form.cleaned_data | {"papers": papers}
            charter = under_way(ship, desk.base, desk.now)
            return report_defect(
                ship, **given, charter=charter, at=desk.now, by=desk.person, client_id=client_id
            )

        if (kept := kept_once(Defect, request, form, keep)) is not None:
            if FOUND in request.GET and desk.may("grade and defer"):
                messages.success(request, f"{ship.name}: damage at {kept.hull} is known now. Grade it.")
                return redirect("grade", base=desk.base.code, defect=kept.pk)
            messages.success(request, f"{ship.name}: damage at {kept.hull} is known now.")
            return redirect("hull", base=desk.base.code, boat=ship.pk)
    more = {"heading": f"Damage on {ship.name}’s hull", "send": "Add it", "cautions": ()}
    return _page(request, ship, desk, form, **more)
