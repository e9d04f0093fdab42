"""What a link refuses, said on a phone: the room's own words in English, a whole sentence elsewhere."""

from django.utils.functional import Promise
from django.utils.translation import gettext, gettext_lazy

from fleet.refused import Refused
from maintenance.pages import wording
from maintenance.pages.phone.language import ENGLISH, now_spoken

# By the field a room names; what no form lets through in the first place has the last sentence.
BY_FIELD: dict[str, str | Promise] = {
    "words": gettext_lazy("Wanted: what is wrong, in a few words, and not too many"),
    "photos": gettext_lazy("Wanted: fewer photos"),
    "place": gettext_lazy("Wanted: a place on board this boat"),
    "component": gettext_lazy("Wanted: something that is fitted to this boat"),
    "spares": gettext_lazy("Wanted: how many spares, out of this boat's own kit"),
    "boat": gettext_lazy("Wanted: a boat your charter had"),
    "defects": gettext_lazy("Wanted: fewer things in one return"),
    "client_id": gettext_lazy("Open the page once more, and send it from there"),
}


def refusal(refused: Refused) -> str:
    """One sentence for whoever sent it."""
    if now_spoken() == ENGLISH:
        return wording.sentence(refused.wanted)
    known = BY_FIELD.get(refused.field)
    return (
        str(known)
        if known
        else gettext("The base could not take this as it is: look through it, or ring the base")
    )
