"""The phone's script has every word it says from the page, and the page carries none it does not say."""

import re
from pathlib import Path

from django.conf import settings

from maintenance.pages.phone.said import said

SCRIPTS: Path = settings.HOME / "maintenance/static/maintenance/phone"
ASKED = re.compile(r"word\(([^()]*(?:\([^()]*\))?[^()]*?)[,)]")
KEY = re.compile(r"'([a-z_]+)'")
AS_IT_STANDS = {"refused", "closed"}  # word(one.stand)


def test_each_word_of_the_script_is_carried_and_none_beside():
    source = "\n".join(path.read_text(encoding="utf-8") for path in sorted(SCRIPTS.glob("*.js")))
    asked = {key for call in ASKED.findall(source) for key in KEY.findall(call)}
    returned = set(re.findall(r"return word\('([a-z_]+)'", source))
    assert asked | returned | AS_IT_STANDS == set(said())


def test_what_is_put_in_is_named_alike():
    for key, words in said().items():
        assert re.fullmatch(r"[^{}]*(\{(n|all|most|text|label|last|hours|boat|name)\}[^{}]*)*", words), key
