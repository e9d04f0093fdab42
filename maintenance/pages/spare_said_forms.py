"""The manager's forms of a part: how it is bought, what it fits, what stands for it, what it costs."""

from typing import Any

from django import forms

from fleet.boats.models import Kind
from fleet.pages.desk import Desk
from maintenance.ordering.holding import plain
from maintenance.pages.fields import day_field, quantity_field
from maintenance.pages.money import PriceField
from maintenance.pages.part_typed import PartField
from maintenance.pages.worded import words_field
from maintenance.spares.models import Spare

MOST_DAYS = 999
MAKERS = 80


class BoughtForm(forms.Form):
    """How it is bought: of whom, how long that takes, in which packs, under which newer number."""

    supplier = words_field("Supplier", most=120, required=False)
    lead_days = forms.IntegerField(
        label="Days on the way",
        required=False,
        min_value=0,
        max_value=MOST_DAYS,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        help_text="counts until what came of it says better",
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value"),
            f"Days on the way: wanted a whole number from 0 to {MOST_DAYS}",
        ),
    )
    pack_of = quantity_field("In a pack", required=True)
    exchange = forms.BooleanField(label="The worn-out one goes back to the supplier", required=False)
    superseded_by = PartField(
        label="Superseded by", required=False, help_text="its newer number: a code, a number or a name"
    )

    def clean_pack_of(self) -> Any:
        number = self.cleaned_data["pack_of"]
        if not number:
            raise forms.ValidationError("In a pack: wanted how many, above 0")
        return number


class FitForm(forms.Form):
    """What it fits; what is blank is not asked."""

    kind = forms.ModelChoiceField(
        Kind.objects.all(),
        label="Kind of thing",
        required=False,
        empty_label="any kind",
        error_messages={"invalid_choice": "Kind of thing: wanted one of the list"},
    )
    maker = words_field("Maker", most=MAKERS, required=False)
    model = words_field("Model", most=MAKERS, required=False)
    serial_from = words_field("Serial number from", most=MAKERS, required=False)
    serial_to = words_field("Serial number to", most=MAKERS, required=False)
    source = words_field(
        "Source", "whose word it is", most=200, help_text="the maker's list, a plate, whose word it is"
    )

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.fields["kind"].queryset = Kind.objects.order_by("name")  # type: ignore[attr-defined]


class InsteadForm(forms.Form):
    """Another part that may be used in its place."""

    other = PartField(label="Part to use instead", help_text="its code, its number or its name")
    words = words_field(
        "What to mind", most=200, required=False, help_text="and who says that it may be used"
    )

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.fields["other"].error_messages["required"] = "Part to use instead: wanted which part"


class PriceForm(forms.Form):
    """What one costs from a day on, of who buys at least so many; without tax."""

    supplier = words_field("Supplier", most=120, required=False)
    from_on = day_field("From")
    least = quantity_field("For at least so many", required=True)

    def __init__(self, desk: Desk, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        currency = desk.base.currency
        said = f"without tax; {currency} unless another currency is written with it"
        self.fields["each"] = PriceField(currency=currency, label="Price of one", help_text=said)

    def clean_least(self) -> Any:
        number = self.cleaned_data["least"]
        if not number:
            raise forms.ValidationError("For at least so many: wanted how many, above 0")
        return number


def forms_of(spare: Spare, desk: Desk, data: Any, what: str) -> dict[str, Any]:
    """Each form by what it says, the one that was sent bound to what was typed."""
    newer = spare.superseded_by
    bought = {name: getattr(spare, name) for name in ("supplier", "lead_days", "exchange")}
    bought |= {"pack_of": plain(spare.pack_of), "superseded_by": newer.code if newer else ""}
    price = {"supplier": spare.supplier, "from_on": desk.today, "least": "1"}

    def sent(name: str) -> Any:
        return data if name == what else None

    return {
        "bought": BoughtForm(sent("bought"), prefix="bought", initial=bought),
        "fit": FitForm(sent("fit"), prefix="fit", initial={"kind": spare.kind_id}),
        "instead": InsteadForm(sent("instead"), prefix="instead"),
        "price": PriceForm(desk, sent("price"), prefix="price", initial=price),
    }
