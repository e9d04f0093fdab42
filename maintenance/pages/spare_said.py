"""What is said of a part, by the manager: how it is bought, what it fits, what stands for it, its price."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from fleet.refused import Refused
from maintenance.ordering.money import Money
from maintenance.pages import money, wording
from maintenance.pages.fields import row_number
from maintenance.pages.spare_said_forms import forms_of
from maintenance.spares.keeping import drop, keep_fit, keep_instead, keep_price, keep_spare
from maintenance.spares.models import Instead, Price, Spare, SpareFit

ROWS: dict[str, Any] = {"drop-fit": SpareFit, "drop-instead": Instead, "drop-price": Price}


@at_base("change intervals")
def spare_said(request: HttpRequest, desk: Desk, spare: int) -> HttpResponse:
    """All that is said of it, each with its way to take it back; a wrong form keeps what was typed."""
    row = get_object_or_404(Spare.objects.select_related("superseded_by", "kind"), pk=spare)
    what = request.POST.get("what", "")
    shown = forms_of(row, desk, request.POST, what)
    if request.method == "POST":
        said = _dropped(what, row, request) if what in ROWS else _said(what, shown.get(what), row)
        if said:
            messages.success(request, said)
            return redirect("spare-said", base=desk.base.code, spare=row.pk)
    context = _told(row, desk) | {"desk": desk, "here": "spares", "forms": shown}
    return render(request, "maintenance/spare_said.html", context, status=422 if what else 200)


def _said(what: str, form: Any, row: Spare) -> str:
    """What was kept, in a sentence; nothing where the form or the action refuses."""
    if form is None:
        raise Http404
    if not form.is_valid():
        return ""
    try:
        return SAYS[what](form.cleaned_data, row)
    except (Refused, ValidationError) as refused:
        say(form, refused)
        row.refresh_from_db()  # what is shown beside the form is what is kept
        return ""


def _bought(given: dict[str, Any], row: Spare) -> str:
    for name, value in given.items():
        setattr(row, name, value)
    keep_spare(row)
    return f"{row.name}: kept as it is bought."


def _fit(given: dict[str, Any], row: Spare) -> str:
    return f"It fits {fit_words(keep_fit(SpareFit(spare=row, **given)))}."


def _instead(given: dict[str, Any], row: Spare) -> str:
    kept = keep_instead(row, given["other"], words=given["words"])
    return f"{kept.other.name} may be used instead."


def _price(given: dict[str, Any], row: Spare) -> str:
    each: Money = given.pop("each")
    keep_price(Price(spare=row, each=each.amount, currency=each.currency, **given))
    return f"{money.typed(each)} for one is kept."


SAYS = {"bought": _bought, "fit": _fit, "instead": _instead, "price": _price}


def _dropped(what: str, row: Spare, request: HttpRequest) -> str:
    key = row_number(request.POST.get("row", "")) or 0
    found = ROWS[what].objects.filter(pk=key, spare=row).first()
    if found is None:
        return "It is taken back already."
    drop(found)
    return "Taken back."


def fit_words(fit: SpareFit) -> str:
    """Impellers of Maker, model M, serial numbers 100 to 250."""
    things = fit.kind.name if fit.kind else "things of any kind"
    made = " ".join(part for part in (fit.maker, fit.model) if part)
    first, last = fit.serial_from, fit.serial_to
    serials = f"serial numbers {f'from {first}' if first else ''} {f'to {last}' if last else ''}"
    parts = (things, made, " ".join(serials.split()) if first or last else "")
    return ", ".join(part for part in parts if part)


def _told(row: Spare, desk: Desk) -> dict[str, Any]:
    fits = SpareFit.objects.filter(spare=row).select_related("kind").order_by("pk")
    prices = Price.objects.filter(spare=row).order_by("supplier", "-from_on", "least")
    return {
        "spare": row,
        "older": list(row.supersedes.order_by("name")),
        "fits": [{"row": fit, "words": wording.sentence(fit_words(fit))} for fit in fits],
        "instead": Instead.objects.filter(spare=row).select_related("other").order_by("pk"),
        "prices": [_price_told(price, desk) for price in prices],
    }


def _price_told(price: Price, desk: Desk) -> dict[str, Any]:
    return {
        "row": price,
        "each": money.typed(Money(price.each, price.currency)),
        "from_on": wording.day(price.from_on, desk.today),
        "coming": price.from_on > desk.today,
    }
