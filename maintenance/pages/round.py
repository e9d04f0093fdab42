"""The round of one boat on a phone: large tiles for each check, kept as far as walked, signed by name."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat
from fleet.charters.models import Charter
from fleet.pages.desk import Desk, at_base
from fleet.refused import Refused
from maintenance.jobs.actions import TooLateToTakeBack
from maintenance.pages import wording
from maintenance.pages.answers import wrong_day
from maintenance.pages.worded import name_field, words_field
from maintenance.turnaround.facts import Turn, turn_of
from maintenance.turnaround.models import Round, RoundItem, RoundLine
from maintenance.turnaround.round import RoundRefused, items_of
from maintenance.turnaround.seal_said import seal_said
from maintenance.turnaround.usual_round import SEALS, USUAL_ROUND
from maintenance.turnaround.walking import (
    MOST_NOTE,
    Tick,
    Walked,
    defects_of,
    lines_of,
    sign_round,
    take_back_round,
    walk,
)

STATES = {state.value: wording.sentence(state.value) for state in RoundLine.State}
SEAL_STATES = {state: wording.sentence(seal) for state, seal in SEALS.items()}


def states_of(item: RoundItem) -> dict[str, str]:
    """What can be ticked for a check, as it is said."""
    return SEAL_STATES if item.asks == RoundItem.Asks.SEAL else STATES


class RoundForm(forms.Form):
    """A tile and a note for each check, and who signs."""

    who = name_field("Who walked it", required=False)
    kept = False  # what is ticked was, though it is not signed

    def __init__(self, items: list[RoundItem], lines: dict[int, RoundLine], who: str, data: Any) -> None:
        super().__init__(data, initial={"who": who})
        self.items, self.lines = items, lines
        for item in items:
            line = lines.get(item.pk)
            said = f"{item.words}: wanted {', '.join(states_of(item).values())}"
            self.fields[f"state-{item.pk}"] = forms.ChoiceField(
                choices=list(states_of(item).items()),
                required=False,
                initial=line.state if line else "",
                error_messages={"invalid_choice": said},
            )
            note = words_field(f"{item.words}, note", most=MOST_NOTE, required=False)
            note.initial = line.note if line else ""
            self.fields[f"note-{item.pk}"] = note

    def rows(self) -> list[dict[str, Any]]:
        return [self._row(item) for item in self.items]

    def _row(self, item: RoundItem) -> dict[str, Any]:
        state, note = self[f"state-{item.pk}"], self[f"note-{item.pk}"]
        line = self.lines.get(item.pk)
        chosen = state.value() or ""
        return {
            "item": item,
            "state": state,
            "note": note,
            "options": [(value, said, value == chosen) for value, said in states_of(item).items()],
            "line": line,
            "seen": (line.state, line.note) if line else ("", ""),
        }

    def ticks(self) -> list[Tick]:
        """What was ticked or noted otherwise than the page showed when it was opened."""
        found = []
        for item in self.items:
            state, note = self.cleaned_data[f"state-{item.pk}"], self.cleaned_data[f"note-{item.pk}"]
            seen = (self.data.get(f"seen-{item.pk}", ""), self.data.get(f"seen-note-{item.pk}", ""))
            if state and (state, note) != seen:
                found.append(Tick(item, state, note, seen))
        return found

    def clean(self) -> None:
        """A note on a check that nothing is ticked of would be lost."""
        for item in self.items:
            given = self.cleaned_data
            if given.get(f"note-{item.pk}") and given.get(f"state-{item.pk}") == "":
                wanted = ", ".join(states_of(item).values())
                self.add_error(f"state-{item.pk}", f"{item.words}: wanted {wanted} beside the note")


@at_base("see", post="walk the round")
def walk_round(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """The round of a boat's turnaround: what is ticked is kept, signed or not."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    charter = Charter.objects.next_from(desk.today).filter(boat=ship).first()
    turn = turn_of(ship, desk.today, charter)
    what = request.POST.get("what", "") if request.method == "POST" else ""
    if what == "back":
        return _take_back(request, ship, turn, desk)
    if what in ("begin", "anew"):
        return _begin(request, ship, charter, desk, anew=what == "anew")
    items, lines = items_of(ship, desk.base, desk.today), lines_of(turn.begun) if turn.begun else {}
    form = RoundForm(items, lines, desk.person.name, request.POST if what else None)
    if what and form.is_valid() and (then := _send(request, what, form, ship, charter, desk)) is not None:
        return then
    if what:  # what is ticked may have been kept, though it is not signed
        turn = turn_of(ship, desk.today, charter)
        form.lines = lines_of(turn.begun) if turn.begun else {}
    context = _said(ship, charter, turn, desk) | {
        "form": form,
        "rows": form.rows(),
        "answered": len(form.lines),
        "head": "Kept, not signed yet." if form.kept else "",
    }
    if what and turn.begun is None:
        context["signed"] = None  # by somebody else meanwhile: what was typed still stands on the page
    return render(request, "maintenance/round.html", context, status=422 if what else 200)


def _send(
    request: HttpRequest, what: str, form: RoundForm, ship: Boat, charter: Charter | None, desk: Desk
) -> HttpResponse | None:
    """Keeps what is ticked, and signs where that is asked; None where the form says what is wanted."""
    try:
        walked = walk(ship, form.ticks(), at=desk.now, by=desk.person, charter=charter)
        _tell(request, walked)
        if what == "sign" and not walked.clashed:
            who = form.cleaned_data["who"]
            row = sign_round(ship, who=who, at=desk.now, by=desk.person, charter=charter)
            messages.success(request, f"{ship.name}: round signed by {row.signed_by}.")
        elif not walked.clashed:
            messages.success(request, f"{ship.name}: kept as far as it is walked. Not signed yet.")
    except RoundRefused as refused:
        form.kept = refused.field in ("lines", "who") and what == "sign"
        field = "who" if refused.field == "who" else None
        form.add_error(field, f"{'Who walked it' if field else 'Round'}: {refused.wanted}.")
        return None
    return redirect("round", base=desk.base.code, boat=ship.pk)


def _tell(request: HttpRequest, walked: Walked) -> None:
    for item in walked.clashed:
        line = lines_of(walked.round)[item.pk]
        said = states_of(item)[line.state] + (f", {line.note}" if line.note else "")
        who = line.recorded_by.name if line.recorded_by else "Somebody"
        text = f"{item.words}: {who} said “{said}” while this page was open. Yours is not kept: look again."
        messages.error(request, text)
    for defect in walked.stays:
        text = (
            f"“{defect.words}” is still open, for somebody has dealt with it since: say there how it ended."
        )
        messages.warning(request, text)


def _begin(
    request: HttpRequest, ship: Boat, charter: Charter | None, desk: Desk, *, anew: bool
) -> HttpResponse:
    try:
        walk(ship, [], at=desk.now, by=desk.person, charter=charter, anew=anew)
    except Refused as refused:
        messages.error(request, wording.sentence(refused.wanted) + ".")
    return redirect("round", base=desk.base.code, boat=ship.pk)


def _take_back(request: HttpRequest, ship: Boat, turn: Turn, desk: Desk) -> HttpResponse:
    row = turn.begun or turn.signed
    if row is not None:
        try:
            take_back_round(row, at=desk.now, by=desk.person)
        except TooLateToTakeBack as late:
            return wrong_day(request, desk, str(late))
        said = "round taken back" if row == turn.begun else "signature taken back"
        messages.success(request, f"{ship.name}: {said}.")
    return redirect("round", base=desk.base.code, boat=ship.pk)


def _said(ship: Boat, charter: Charter | None, turn: Turn, desk: Desk) -> dict[str, Any]:
    signed = turn.signed if turn.begun is None else None
    shown = turn.begun or turn.signed
    return {
        "desk": desk,
        "here": "boats",
        "boat": ship,
        "charter": charter,
        "turn": turn,
        "signed": signed,
        "walked": _lines(signed) if signed else [],
        "usual": USUAL_ROUND,
        "seal": seal_said(ship, shown),
        "defects": defects_of(turn.begun) if turn.begun else {},
        "may_walk": desk.may("walk the round"),
        "may_rule": desk.may("change the base's rules"),
        "undo": shown is not None and desk.is_today(shown.recorded_at) and desk.may("walk the round"),
        "when": wording.moment(signed.recorded_at, desk.base.timezone) if signed else "",
    }


def _lines(signed: Round) -> list[dict[str, Any]]:
    defects = defects_of(signed)
    return [
        {
            "words": line.words,
            "state": states_of(line.item)[line.state],
            "fails": line.state == RoundLine.State.FAILS,
            "note": line.note,
            "defect": defects.get(item),
        }
        for item, line in lines_of(signed).items()
    ]
