"""What is not where it should be at a base: since when, from where, who said so; found, or given up."""

import uuid
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from fleet.ledger import once
from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from fleet.refused import Refused
from maintenance.pages import move_words, wording
from maintenance.pages.fields import MOST_PARTS, NumberField, sent_id
from maintenance.pages.stores import Stores, stores_of
from maintenance.pages.worded import words_field
from maintenance.spares.astray import LookedFor, find, give_up, looked_for
from maintenance.spares.models import QUANTITY, StockMove

WANTED = "Where it lies: wanted one of this base’s places in the list"


class EndForm(forms.Form):
    """How many of what is looked for, and a few words."""

    quantity = NumberField(
        wanted="how many, above 0, such as 2 or 4.5",
        places=QUANTITY["decimal_places"],
        most=MOST_PARTS,
        label="How many",
    )


class FoundForm(EndForm):
    """Where it was found."""

    place = forms.ChoiceField(
        label="Where it lies",
        help_text="put back where it belongs, or where it was found",
        error_messages={"required": WANTED, "invalid_choice": WANTED},
    )
    words = words_field("Words", most=300, required=False)

    def __init__(self, stores: Stores, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["place"].choices = stores.choices("choose a place")  # type: ignore[attr-defined]


class GivenUpForm(EndForm):
    """Why nobody looks for it any more."""

    words = words_field("Why nobody looks for it any more", most=300)


@at_base("see", post="count stock")
def astray(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Each with two ways to end it."""
    stores, lost = stores_of(desk), looked_for(desk.base)
    one = _meant(request, lost)
    form = _form(request, one, stores) if one is not None else None
    if request.method == "POST" and one is None:
        messages.info(request, _gone(request))
        return redirect("astray", base=desk.base.code)
    move = _keep(request, form, one, stores, desk) if form is not None and form.is_valid() else None
    if move is not None:
        messages.success(request, _kept(move, stores))
        return redirect("astray", base=desk.base.code)
    context = {
        "desk": desk,
        "here": "spares",
        "form": form,
        "rows": [_row(each, stores, desk, form if one == each else None) for each in lost],
        "may_count": desk.may("count stock"),
    }
    return render(request, "maintenance/astray.html", context, status=422 if form else 200)


def _meant(request: HttpRequest, lost: list[LookedFor]) -> LookedFor | None:
    key = request.POST.get("said", "")
    return next((one for one in lost if str(one.said.pk) == key), None)


def _gone(request: HttpRequest) -> str:
    """What is said where it is not on the list any more: the same form sent twice, or somebody else."""
    client_id = sent_id(request.POST)
    if client_id and StockMove.objects.filter(client_id=client_id).exists():
        return "That is written down already."
    return "That is not looked for any more: somebody found it or gave it up."


def _form(request: HttpRequest, one: LookedFor, stores: Stores) -> EndForm:
    if request.POST.get("what") == "given up":
        return GivenUpForm(request.POST, prefix=f"up-{one.said.pk}")
    return FoundForm(stores, request.POST, prefix=f"found-{one.said.pk}")


def _row(one: LookedFor, stores: Stores, desk: Desk, sent: EndForm | None) -> dict[str, Any]:
    move, key = one.said, one.said.pk
    number = wording.quantity(one.quantity)
    first = {"quantity": number, "place": str(move.from_place_id)}
    return {
        "one": one,
        "says": move_words.amount(one.quantity, move.spare),
        "from": stores.path(move.from_place)
        if move.from_place and move.from_place_id in stores.places
        else "",
        "days": (desk.today - move.day).days,
        "found": sent
        if isinstance(sent, FoundForm)
        else FoundForm(stores, initial=first, prefix=f"found-{key}"),
        "up": sent if isinstance(sent, GivenUpForm) else GivenUpForm(initial=first, prefix=f"up-{key}"),
        "client_ids": (uuid.uuid4().hex, uuid.uuid4().hex),
    }


def _keep(
    request: HttpRequest, form: EndForm, one: LookedFor | None, stores: Stores, desk: Desk
) -> StockMove | None:
    if one is None:
        return None
    given, client_id = form.cleaned_data, sent_id(request.POST)
    said = {"base": desk.base, "quantity": given["quantity"], "words": given["words"], "lot": one.said.lot}
    said |= {"day": desk.today, "at": desk.now, "by": desk.person, "client_id": client_id}

    def keep() -> StockMove:
        if isinstance(form, GivenUpForm):
            return give_up(one.said.spare, **said)
        return find(one.said.spare, stores.places[int(given["place"])], **said)

    try:
        return once(StockMove.objects.filter(client_id=client_id or "").first, keep)
    except (Refused, ValidationError) as refused:
        say(form, refused)
        return None


def _kept(move: StockMove, stores: Stores) -> str:
    said = f"{move.spare}: {move_words.amount(move.quantity, move.spare)} {move_words.done(move, stores)}"
    return f"{said}."
