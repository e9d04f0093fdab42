"""What the phone's own script says, in the language of the page it stands on; `{name}` is put in there."""

from django.utils.translation import gettext as _


def said() -> dict[str, str]:
    """Every word of the script, by the key it asks with."""
    return _of_what_is_kept() | _of_photos() | _of_the_form() | _of_dials()


def _of_what_is_kept() -> dict[str, str]:
    return {
        "line": _("Kept on this phone, not sent yet: {n}"),
        "kept": _("Kept on this phone. Leave this page open, or open it again when there is signal."),
        "going": _("The words are sent. Photos sent: {n} of {all}"),
        "sent": _("Sent"),
        "refused": _("The base could not take this. It is kept on this phone."),
        "closed": _("This did not reach the base. It is kept on this phone: tell it to the base."),
        "noted": _("I have read it"),
        "change": _("Change it and send it again"),
        "copy": _("What you wrote, to be copied"),
        "off": _("Take it off this phone"),
        "off_sure": _("Take it off this phone? The base has not got it."),
        "no_tongue": _("Another language needs a signal: choose it again when there is one."),
        "again": _("What you began before stands here again."),
        "not_kept": _("What you typed cannot be kept on this phone. Send it now, or copy it."),
        "full_words": _(
            "This phone is full: what you typed just now is not kept on it. Send it now, or copy it."
        ),
    }


def _of_photos() -> dict[str, str]:
    return {
        "photos": _("Photos: {n}"),
        "photos_now": _("Photos kept on this phone: {n}"),
        "taking": _("Photos being made small: {n}"),
        "photo": _("Photo {n}"),
        "photo_of_dial": _("Photo of the dial"),
        "remove": _("Remove"),
        "most": _("{name} is not taken: wanted at most {most} photos."),
        "too_big": _(
            "{name} is not taken: wanted a photo that this phone can open, or one of at most 15 MB."
        ),
        "full_photo": _(
            "This phone is full: {name} is not kept on it. Your words are. Photos kept on this phone: {n}"
        ),
        "photo_not_kept": _("{name} cannot be kept on this phone. Your words are."),
    }


def _of_the_form() -> dict[str, str]:
    return {
        "wanted": _("{label}: wanted a few words"),
        "letters": _("{label}: wanted up to {most} letters, found {n}"),
        "nothing": _("Nothing was said: wanted hours, an answer, a word or a spare"),
        "given_back": _("{boat} given back"),
        "which": _("Which boat: your charter changed boats; wanted the one it is about"),
    }


def _of_dials() -> dict[str, str]:
    wanted = {"label": "{label}", "text": "{text}", "wanted": _("hours such as 1212.4")}
    return {
        "number": _("%(label)s: found “%(text)s”, wanted %(wanted)s") % wanted,
        "dial_asks": _("Is this what the dial shows?"),
        "dial": _("{label}, {hours} h: {last}"),
        "dial_yes": _("Yes, send it"),
        "dial_no": _("No, correct it"),
    }
