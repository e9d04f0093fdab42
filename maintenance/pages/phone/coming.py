"""Who comes for what a skipper reported, and what to do first until then."""

from typing import Any

from django.utils.translation import gettext, gettext_lazy

from maintenance.jobs.models import CallOutStep
from maintenance.jobs.under_way import coming_to
from maintenance.pages.phone import local
from maintenance.pages.way_in import WayIn

UNDER_WAY = {
    CallOutStep.Step.PROMISED.value: gettext_lazy("%(name)s has promised to come."),
    CallOutStep.Step.ON_THE_WAY.value: gettext_lazy("%(name)s is on the way."),
    CallOutStep.Step.THERE.value: gettext_lazy("%(name)s is there."),
}


def with_who_comes(entries: list[dict[str, Any]], way: WayIn) -> None:
    """Adds to each report who comes for it and when, as the base promised; one query or two."""
    told = [one for entry in entries for one in entry.get("told", [entry])]
    coming = coming_to({one["case"] for one in told})
    for one in told:
        step = coming.get(one["case"])
        one["comes"] = _comes(step, way) if step is not None and not one["ended"] else ""


def _comes(step: CallOutStep, way: WayIn) -> str:
    if step.promised_at is not None:
        when = local.time_of(step.promised_at, way.now, way.base.timezone)
        return gettext("%(name)s comes, %(time)s.") % {"name": step.who, "time": when}
    return str(UNDER_WAY[step.step]) % {"name": step.who}


def first_of_all(entries: list[dict[str, Any]]) -> list[str]:
    """What to do first where something is happening now, the worst first, each once."""
    told = [one for entry in entries for one in entry.get("told", [entry]) if one["first"]]
    return list(dict.fromkeys(one["first"] for one in sorted(told, key=lambda one: one["rank"])))
