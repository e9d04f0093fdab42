"""What holds boats at a base: each rule with its words, its source, its names and its paper."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from fleet.pages.desk import Desk, at_base
from maintenance.pages import wording
from maintenance.pages.base_money import kept, money_form
from maintenance.pages.worded import words_field
from maintenance.release.facts import rules_of
from maintenance.release.rule_list import ALARM, BY_CODE, RULES, Rule
from maintenance.release.setting import MOST_NAMES, set_rule

# Other rules of the base, each on a page of its own.
OTHERS = (
    ("alarm-words", "Words that raise the alarm"),
    ("round-items", "The round"),
    ("contract-clock", "Hours of the charter contract"),
    ("safety-kinds", "Things that carry a date"),
)
FOR_ALL = (("gear", "Gear each boat should have"),)


class RuleForm(forms.Form):
    """One rule as a base has it."""

    on = forms.BooleanField(label="Holds boats", required=False)
    names = forms.IntegerField(label="Names wanted to let her go", min_value=1, max_value=MOST_NAMES)
    paper = words_field("Paper wanted", most=120, required=False)
    source = words_field("Source", most=300, required=False)

    def __init__(self, *args: Any, rule: Rule, **more: Any) -> None:
        initial = {"on": rule.on, "names": rule.names, "paper": rule.paper, "source": rule.source}
        super().__init__(*args, **(more | {"initial": initial}))
        self.rule = rule
        said = f"Names, {rule.words}: wanted 1 to {MOST_NAMES}"
        self.fields["names"].error_messages |= dict.fromkeys(
            ("required", "invalid", "min_value", "max_value"), said
        )
        self.fields["names"].widget.attrs |= {"inputmode": "numeric"}
        if rule.code == ALARM:
            self.fields["on"].disabled = True

    def changed(self) -> str:
        """Which rule it is, and what of it was changed from what to what."""
        was, said = self.rule, self.cleaned_data
        source = said["source"] or BY_CODE[was.code].source  # blank: the list's own again
        pairs = (
            ("", "holds boats" if was.on else "off", "holds boats" if said["on"] else "off"),
            ("names wanted", str(was.names), str(said["names"])),
            ("paper", f"“{was.paper or 'none'}”", f"“{said['paper'] or 'none'}”"),
            ("source", f"“{was.source}”", f"“{source}”"),
        )
        told = [f"{what} from {old} to {new}".strip() for what, old, new in pairs if old != new]
        return f"{wording.sentence(was.words)}: {'; '.join(told)}."

    def save(self, desk: Desk) -> bool:
        said = self.cleaned_data
        at = {"paper": said["paper"], "source": said["source"]}
        return set_rule(desk.base, self.rule.code, on=said["on"], names=said["names"], **at)


@at_base("see", post="change the base's rules")
def base_rules(request: HttpRequest, desk: Desk) -> HttpResponse:
    """The rules of the base, to read; the manager changes them."""
    rules = rules_of(desk.base)
    of_money = request.POST.get("what") == "money"
    money = money_form(desk.base, request.POST if of_money else None)
    if of_money and kept(request, money, desk):
        return redirect("rules", base=desk.base.code)
    data = request.POST if request.method == "POST" and not of_money else None
    shown = [RuleForm(data, prefix=f"rule{n}", rule=rules[r.code]) for n, r in enumerate(RULES)]
    if data is not None and not any(form.errors for form in shown):
        changed = [form.changed() for form in shown if form.save(desk)]
        for text in changed or ["Nothing changed."]:
            messages.success(request, text)
        return redirect("rules", base=desk.base.code)
    context = {
        "desk": desk,
        "here": "people",
        "forms": shown,
        "wrong": [e for form in shown for errors in form.errors.values() for e in errors] if data else [],
        "others": _others(desk),
        "money": money,
        "may_see": desk.may("see prices"),
        "may_change": desk.may("change the base's rules"),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "maintenance/base_rules.html", context, status=status)


def _others(desk: Desk) -> list[tuple[str, str]]:
    """The other rules, but for those that only the manager opens where somebody else looks."""
    named = (*OTHERS, *FOR_ALL) if desk.may("change the base's rules") else FOR_ALL
    return [(reverse(name, args=[desk.base.code]), words) for name, words in named]
