"""Which dates each kind of thing carries, as the base's manager says it."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from fleet.boats.actions import KindDatesRefused, set_kind_dates
from fleet.boats.facts import dates_of_kinds
from fleet.boats.models import Boat, Fitting, Kind
from fleet.pages.desk import Desk, at_base
from maintenance.pages import wording

LONGEST = 2000  # characters in one kind's field


class KindsForm(forms.Form):
    """One field a kind: the names of its dates, one a line."""

    def __init__(self, kinds: Sequence[Kind], said: dict[int, tuple[str, ...]], data: Any = None) -> None:
        super().__init__(data)
        self.kinds = {f"kind-{kind.pk}": kind for kind in kinds}
        self.said = {name: said.get(kind.pk, ()) for name, kind in self.kinds.items()}
        for name, kind in self.kinds.items():
            self.fields[name] = forms.CharField(
                label=kind.name,
                required=False,
                max_length=LONGEST,
                initial="\n".join(self.said[name]),
                widget=forms.Textarea(attrs={"rows": max(2, len(self.said[name]) + 1)}),
            )

    def changed(self) -> dict[str, list[str]]:
        """The fields that say other dates than before; one that was not sent says nothing."""
        sent = {name: self.cleaned_data[name].splitlines() for name in self.kinds if name in self.data}
        lines = {name: [w for line in of if (w := " ".join(line.split()))] for name, of in sent.items()}
        return {name: of for name, of in lines.items() if sorted(of) != sorted(self.said[name])}

    def dated(self) -> list[Any]:
        return [self[name] for name in self.kinds if self.said[name] or self[name].errors]

    def others(self) -> list[Any]:
        return [self[name] for name in self.kinds if not (self.said[name] or self[name].errors)]


@at_base("change intervals")
def kind_dates(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Every kind that is aboard, with its dates; saving changes only those that were edited."""
    kinds = _kinds_aboard(desk)
    form = KindsForm(kinds, dates_of_kinds([kind.pk for kind in kinds]), request.POST or None)
    if form.is_bound and form.is_valid() and (saved := _save(form)) is not None:
        messages.success(request, f"{wording.sentence(wording.many(saved, 'kind'))} changed.")
        return redirect("safety-kinds", base=desk.base.code)
    context = {"desk": desk, "here": "safety", "form": form}
    return render(request, "maintenance/kind_dates.html", context, status=422 if form.is_bound else 200)


def _kinds_aboard(desk: Desk) -> list[Kind]:
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    fitted = Fitting.objects.standing().filter(boat__in=boats, removed_on__isnull=True)
    return list(Kind.objects.filter(pk__in=fitted.values("component__kind")).order_by("system", "name"))


def _save(form: KindsForm) -> int | None:
    """How many kinds changed; None, and nothing kept, where one of them is refused."""
    changed = form.changed()
    try:
        set_kind_dates({form.kinds[name]: whats for name, whats in changed.items()})
    except KindDatesRefused as refused:
        label = refused.kind.name
        form.add_error(f"kind-{refused.kind.pk}", f"{label}: {refused.wanted}")
        return None
    return len(changed)
