"""The words that raise the alarm and those that do not, in every language of the pages. Pure.

Common practice, no source: what a sailor would shout about. A base adds its own beside them.
"""

from typing import Final

ALARMS: Final = (
    "smoke",
    "smoking",
    "burning",
    "burnt smell",
    "fire",
    "gas",
    "fumes",
    "water in the bilge",
    "steering",
)
HARMLESS: Final = ("gas bottle empty", "gas bottle is empty", "out of gas", "empty gas bottle")
