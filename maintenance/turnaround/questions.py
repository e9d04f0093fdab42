"""The five questions of every return, and what a yes opens. Pure."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Question:
    """One question; a yes opens a defect in these words, with this caution beside it."""

    code: str
    asks: str
    opens: str
    caution: str = ""


QUESTIONS = (
    Question(
        "touched_bottom",
        "Did she touch the bottom, or hit anything?",
        "Touched the bottom or hit something, as said at the return",
        "How a touch felt says nothing about the keel. Have hull, keel and rudder looked at by "
        "somebody competent before she leaves.",
    ),
    Question(
        "lifejacket_fired",
        "Did a lifejacket fire?",
        "A lifejacket fired, as said at the return",
        "A fired lifejacket counts as not aboard until it is re-armed as its maker says.",
    ),
    Question(
        "flare_or_extinguisher_used",
        "Was a flare or an extinguisher used?",
        "A flare or an extinguisher was used, as said at the return",
        "Replace it before she leaves. Expired flares are kept apart and handed in as the local rules say.",
    ),
    Question(
        "gas_or_fumes_smelled",
        "Did anybody smell gas or fumes?",
        "Gas or fumes were smelled, as said at the return",
        "Shut the gas at the bottle, everyone out, touch no switch. A licensed gas fitter finds it.",
    ),
    Question(
        "water_in_bilge",
        "Was there water in the bilge?",
        "Water in the bilge, as said at the return",
        "Find where it comes from before she leaves: shaft, seacocks, hoses, tanks.",
    ),
)
BY_CODE = {question.code: question for question in QUESTIONS}
TOUCHED = BY_CODE["touched_bottom"]
