"""What is kept in English and said to a skipper in another language, where the catalogs know it.

The base's own words (systems, kinds, positions, places, meters) are kept as the base wrote them and
only shown otherwise; a word the catalogs do not know is shown as it is.
"""

import re
from datetime import datetime
from typing import Final

from django.utils.translation import gettext, gettext_noop, ngettext, pgettext, pgettext_lazy

from maintenance.defects.models import Defect
from maintenance.pages.phone import local

# Systems, things, where on board, meters: as a base usually writes them, small.
ABOARD: Final = (
    pgettext_lazy("aboard", "engine"),
    pgettext_lazy("aboard", "drive"),
    pgettext_lazy("aboard", "hull"),
    pgettext_lazy("aboard", "generator"),
    pgettext_lazy("aboard", "gas"),
    pgettext_lazy("aboard", "safety"),
    pgettext_lazy("aboard", "deck"),
    pgettext_lazy("aboard", "below"),
    pgettext_lazy("aboard", "rig"),
    pgettext_lazy("aboard", "rigging"),
    pgettext_lazy("aboard", "sails"),
    pgettext_lazy("aboard", "electric"),
    pgettext_lazy("aboard", "electrics"),
    pgettext_lazy("aboard", "dinghy"),
    pgettext_lazy("aboard", "fuel"),
    pgettext_lazy("aboard", "water"),
    pgettext_lazy("aboard", "plumbing"),
    pgettext_lazy("aboard", "galley"),
    pgettext_lazy("aboard", "navigation"),
    pgettext_lazy("aboard", "heating"),
    pgettext_lazy("aboard", "engine oil and filter"),
    pgettext_lazy("aboard", "engine oil"),
    pgettext_lazy("aboard", "impeller"),
    pgettext_lazy("aboard", "drive belt"),
    pgettext_lazy("aboard", "fuel filters"),
    pgettext_lazy("aboard", "fuel filter"),
    pgettext_lazy("aboard", "coolant"),
    pgettext_lazy("aboard", "gearbox"),
    pgettext_lazy("aboard", "gearbox oil"),
    pgettext_lazy("aboard", "saildrive oil"),
    pgettext_lazy("aboard", "saildrive seal"),
    pgettext_lazy("aboard", "anodes"),
    pgettext_lazy("aboard", "generator oil and filter"),
    pgettext_lazy("aboard", "gas bottle"),
    pgettext_lazy("aboard", "gas hose"),
    pgettext_lazy("aboard", "gas regulator"),
    pgettext_lazy("aboard", "life raft"),
    pgettext_lazy("aboard", "hydrostatic release unit"),
    pgettext_lazy("aboard", "EPIRB"),
    pgettext_lazy("aboard", "flares"),
    pgettext_lazy("aboard", "fire extinguisher"),
    pgettext_lazy("aboard", "lifejackets"),
    pgettext_lazy("aboard", "lifejacket"),
    pgettext_lazy("aboard", "carbon monoxide alarm"),
    pgettext_lazy("aboard", "first-aid kit"),
    pgettext_lazy("aboard", "bilge pump"),
    pgettext_lazy("aboard", "seacocks"),
    pgettext_lazy("aboard", "steering"),
    pgettext_lazy("aboard", "heads"),
    pgettext_lazy("aboard", "standing rigging"),
    pgettext_lazy("aboard", "running rigging"),
    pgettext_lazy("aboard", "furler"),
    pgettext_lazy("aboard", "mainsail"),
    pgettext_lazy("aboard", "genoa"),
    pgettext_lazy("aboard", "windlass"),
    pgettext_lazy("aboard", "winches"),
    pgettext_lazy("aboard", "anchor and chain"),
    pgettext_lazy("aboard", "navigation lights"),
    pgettext_lazy("aboard", "batteries"),
    pgettext_lazy("aboard", "VHF radio"),
    pgettext_lazy("aboard", "outboard"),
    pgettext_lazy("aboard", "autopilot"),
    pgettext_lazy("aboard", "bow thruster"),
    pgettext_lazy("aboard", "cooker"),
    pgettext_lazy("aboard", "fridge"),
    pgettext_lazy("aboard", "shower"),
    pgettext_lazy("aboard", "port"),
    pgettext_lazy("aboard", "starboard"),
    pgettext_lazy("aboard", "forward"),
    pgettext_lazy("aboard", "aft"),
    pgettext_lazy("aboard", "main"),
    pgettext_lazy("aboard", "house"),
    pgettext_lazy("aboard", "hand"),
    pgettext_lazy("aboard", "saloon"),
    pgettext_lazy("aboard", "saloon locker"),
    pgettext_lazy("aboard", "chart table"),
    pgettext_lazy("aboard", "companionway"),
    pgettext_lazy("aboard", "cockpit"),
    pgettext_lazy("aboard", "cockpit locker"),
    pgettext_lazy("aboard", "cabin"),
    pgettext_lazy("aboard", "foredeck"),
    pgettext_lazy("aboard", "anchor locker"),
    pgettext_lazy("aboard", "gas locker"),
    pgettext_lazy("aboard", "engine space"),
    pgettext_lazy("aboard", "raft cradle"),
    pgettext_lazy("aboard", "transom"),
    pgettext_lazy("aboard", "pushpit"),
    pgettext_lazy("aboard", "locker"),
    pgettext_lazy("aboard", "kit"),
    # where on her hull damage is noted: HULL_PLACES of maintenance/defects/rules.py
    pgettext_lazy("aboard", "bow"),
    pgettext_lazy("aboard", "port bow"),
    pgettext_lazy("aboard", "starboard bow"),
    pgettext_lazy("aboard", "port side"),
    pgettext_lazy("aboard", "starboard side"),
    pgettext_lazy("aboard", "port quarter"),
    pgettext_lazy("aboard", "starboard quarter"),
    pgettext_lazy("aboard", "stern"),
    pgettext_lazy("aboard", "mast and rig"),
    pgettext_lazy("aboard", "keel"),
    pgettext_lazy("aboard", "rudder"),
    pgettext_lazy("aboard", "propeller"),
    pgettext_lazy("aboard", "shaft or saildrive"),
    pgettext_lazy("aboard", "bottom"),
)

# Sentences of pure modules, which know no catalogs.
SENTENCES: Final = (
    # fleet/meters/mistakes.py: how a dial was misread
    gettext_noop("a minus too many"),
    gettext_noop("tenths read as units"),
    gettext_noop("a digit missing"),
    gettext_noop("two digits swapped"),
    # maintenance/turnaround/questions.py: what is asked at the return, and what a yes is kept as
    gettext_noop("Did she touch the bottom, or hit anything?"),
    gettext_noop("Did a lifejacket fire?"),
    gettext_noop("Was a flare or an extinguisher used?"),
    gettext_noop("Did anybody smell gas or fumes?"),
    gettext_noop("Was there water in the bilge?"),
    gettext_noop("Touched the bottom or hit something, as said at the return"),
    gettext_noop("A lifejacket fired, as said at the return"),
    gettext_noop("A flare or an extinguisher was used, as said at the return"),
    gettext_noop("Gas or fumes were smelled, as said at the return"),
    gettext_noop("Water in the bilge, as said at the return"),
    # maintenance/defects/rules.py: the grades
    gettext_noop("unsafe"),
    gettext_noop("limits use"),
    gettext_noop("cosmetic"),
    gettext_noop("watch"),
)


def aboard(word: str) -> str:
    """A word of the base's for something on board, as the language has it; parts parted by commas are
    said one by one, and a capital stays one."""
    return ", ".join(_one(part) for part in word.split(", "))


def _one(word: str) -> str:
    if not word:
        return ""
    if (said := pgettext("aboard", word)) != word:
        return said
    small = word[:1].lower() + word[1:]
    if (said := pgettext("aboard", small)) != small:
        return said[:1].upper() + said[1:]
    return word


def in_catalog(sentence: str) -> str:
    """A sentence of `SENTENCES`; any other stays as it is."""
    return gettext(sentence) if sentence else ""


def words_of(defect: Defect) -> str:
    """A report's own words; what a yes to a question opened, in the language of the page."""
    return in_catalog(defect.words) if defect.asked == Defect.Asked.QUESTION else defect.words


UNTIL_DAY: Final = re.compile(r"until \w{3} (\d{1,2} \w{3} \d{4})")
FOR_CHARTERS: Final = re.compile(r"for (\d+) charters")


def until(words: str) -> str:
    """Until when something waits, out of what was frozen at the handover (`telling.until_said`)."""
    if local.in_english():
        return words
    return gettext(", or ").join(_until(part) for part in words.split(", or ")) if words else ""


def _until(words: str) -> str:
    if words == "until she is back from this charter":
        return gettext("until she is back from this charter")
    if words == "until lay-up":
        return gettext("until lay-up")
    if day := UNTIL_DAY.fullmatch(words):
        when = datetime.strptime(day[1], "%d %b %Y").date()  # noqa: DTZ007
        return gettext("until %(day)s") % {"day": local.plain_day(when)}
    if charters := FOR_CHARTERS.fullmatch(words):
        number = int(charters[1])
        return ngettext("for %(number)d charter", "for %(number)d charters", number) % {"number": number}
    return words
