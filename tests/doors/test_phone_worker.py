"""The worker's address, the manifest of a link, and the words by which copies are kept or dropped."""

import gzip
import json
import re
from base64 import b64encode
from hashlib import sha256
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from fleet.charters.links import make_link, revoke_link
from fleet.charters.models import Link
from fleet.pages.by_content import found
from fleet.people.cleaners import make_cleaners_link
from fleet.secret import new_secret
from maintenance.pages.phone.scripts import SCRIPTS, address_of
from maintenance.pages.phone.worker import FILES, SOURCE, version
from maintenance.planning.actions import cancel_charter
from tests.cast import NOW
from tests.doors.sheets import MAIN, tap
from tests.papers import encoded, painted

PAGES = ("skipper", "skipper-return", "skipper-sent", "skipper-told")
WORKER = "/s/worker.js"


@pytest.fixture
def secret(cast, today_is) -> str:
    return make_link(cast.charter["S2"], at=NOW)[1]


@pytest.fixture
def phone() -> Client:
    return Client()


@pytest.fixture
def worker(phone, db):
    return lambda **headers: phone.get(
        WORKER, headers={name.replace("_", "-"): value for name, value in headers.items()}
    )


def shell_of(answer) -> dict:
    """What the first line says; the source stands below it, without what only its reader wants."""
    first, _, rest = answer.content.decode().partition("\n")
    assert rest == uncommented(Path(finders.find(SOURCE)))
    return json.loads(re.fullmatch(r"const SHELL = (\{.*\});", first)[1])


def uncommented(file: Path) -> str:
    """A script of ours without the lines that are comment from their first letter to their last."""
    left, inside = [], False
    for line in file.read_text(encoding="utf-8").splitlines(keepends=True):
        begins = line.lstrip()
        inside = inside or begins.startswith("/*")
        if not inside and not begins.startswith("//"):
            left.append(line)
        if inside and "*/" in line:
            assert line.rstrip().endswith("*/"), f"{file.name}: code behind a comment's end"
            inside = False
    assert not inside
    return "".join(left)


def loaded_by(html: str) -> set[str]:
    """What a page makes a browser fetch by itself."""
    scripts = re.findall(r'<script src="([^"]+)" defer></script>', html)
    assert len(scripts) == html.count("<script src="), "wanted defer on every script"
    links = re.findall(r'<link rel="(?:stylesheet|icon)" href="([^"]+)"', html)
    assert "<img" not in html
    assert "url(" not in html
    return {*scripts, *links}


# The worker


def test_the_worker_is_a_script_that_is_asked_for_anew_each_time(worker):
    answer = worker()
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/javascript; charset=utf-8"
    assert answer["Cache-Control"] == "no-cache"
    assert "Set-Cookie" not in answer
    assert not answer.cookies
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "default-src 'self'" in answer["Content-Security-Policy"]  # worker-src and manifest-src fall to it


def test_what_did_not_change_is_not_sent_twice_and_goes_squeezed(worker):
    plain, squeezed = worker(), worker(accept_encoding="gzip")
    assert gzip.decompress(squeezed.content) == plain.content
    assert plain["ETag"] == squeezed["ETag"] == f'W/"{shell_of(plain)["version"]}"'
    for takes in ("gzip", "identity"):
        again = worker(accept_encoding=takes, if_none_match=plain["ETag"])
        assert (again.status_code, again.content) == (304, b"")
        assert again["Cache-Control"] == "no-cache"
    assert worker(if_none_match='W/"older"').status_code == 200


def test_the_worker_is_only_read(phone, db):
    head = phone.head(WORKER)
    assert (head.status_code, head.content) == (200, b"")
    for method in ("post", "put", "patch", "delete"):
        assert getattr(phone, method)(WORKER).status_code == 405


def test_every_file_of_the_shell_is_there_and_is_the_one_named(worker):
    """By its SHA-256, as Subresource Integrity (W3C) has it: a browser refuses another."""
    assets = shell_of(worker())["assets"]
    assert len(assets) == len(FILES) + len(SCRIPTS)
    for address, integrity in assets.items():
        answer = Client().get(address)
        content = b"".join(answer.streaming_content) if answer.streaming else answer.content
        digest = sha256(content)
        assert answer.status_code == 200
        assert integrity == "sha256-" + b64encode(digest.digest()).decode()
        assert address.endswith(f"?v={digest.hexdigest()[:8]}")


def test_the_shell_is_what_the_pages_load_and_nothing_else(worker, phone, secret):
    shell = shell_of(worker())
    pages = [phone.get(reverse(name, args=[secret])).content.decode() for name in PAGES]
    pages += [
        phone.get(f"/s/{new_secret()}/").content.decode(),
        phone.get(shell["no_signal"]).content.decode(),
    ]
    assert set.union(*map(loaded_by, pages)) == set(shell["assets"])
    assert shell["imports"] == [address_of("kept")]


@pytest.mark.parametrize("name", SCRIPTS)
def test_the_scripts_are_put_end_to_end_and_what_others_wrote_as_it_lies(phone, db, name):
    answer = phone.get(address_of(name), headers={"accept-encoding": "gzip"})
    text = gzip.decompress(answer.content).decode()
    assert answer["Content-Type"] == "text/javascript; charset=utf-8"
    assert "immutable" in answer["Cache-Control"]
    assert text.startswith("'use strict';\n")
    files = [Path(finders.find(one)) for one in SCRIPTS[name]]
    parts = [one.read_text("utf-8") if "vendor" in one.parts else uncommented(one) for one in files]
    assert all(part in text for part in parts)
    assert [text.index(part) for part in parts] == sorted(text.index(part) for part in parts)
    known = {"if-none-match": answer["ETag"]}
    assert phone.get(address_of(name), headers=known).status_code == 304
    other = phone.get(address_of(name)[:-8] + "00000000")
    assert other["Cache-Control"] == "no-cache"  # asked for as another release, it is no one's for a year
    assert phone.post(address_of(name)).status_code == 405


def test_every_script_of_the_phone_is_in_one_of_the_two():
    folder = Path(finders.find(SOURCE)).parent
    written = {f"maintenance/phone/{file.name}" for file in folder.glob("*.js")} - {SOURCE}
    assert written <= {one for names in SCRIPTS.values() for one in names}


@pytest.mark.parametrize("name", [SOURCE, "fleet/almanac.css", "maintenance/phone/keep.js"])
def test_one_letter_changed_makes_another_version(monkeypatch, worker, tmp_path, name):
    before = version()
    assert shell_of(worker())["version"] == before
    changed = tmp_path / "changed"
    changed.write_bytes(Path(finders.find(name)).read_bytes() + b" ")
    monkeypatch.setattr(
        "maintenance.pages.phone.scripts.found", lambda other: changed if other == name else found(other)
    )
    assert version() != before


def test_the_page_without_signal_is_nobodys_and_in_the_phones_language(phone, db):
    page = phone.get(reverse("skipper-no-signal"), headers={"accept-language": "pl"})
    html = page.content.decode()
    assert (page.status_code, page["Content-Language"]) == (200, "pl")
    assert '<html lang="pl">' in html
    assert page["Cache-Control"] == "no-store"
    assert page["X-Robots-Tag"] == "noindex"
    assert '"/s/"' in html  # where the worker puts the link in
    assert re.search(r'<p class="ring-said">.*?</p>', html)  # and the telephone
    assert not page.cookies


# What copies are kept by


def stands(answer) -> str:
    return answer["Way-In"]


def test_a_page_of_an_open_link_may_be_kept_and_one_that_says_something_for_once_may_not(phone, secret):
    for name in PAGES:
        page = phone.get(reverse(name, args=[secret]))
        assert (page.status_code, stands(page)) == (200, "open")
        assert page["Cache-Control"] == "no-store"
        assert {"Cookie", "Accept-Language"} <= set(page["Vary"].split(", "))
    led = tap(phone, phone.get(reverse("skipper", args=[secret])), MAIN, words="Leaks")
    shown, again = phone.get(led["Location"]), phone.get(led["Location"])
    assert "Thank you" in shown.content.decode()
    assert (stands(shown), stands(again)) == ("passing", "open")


def test_a_link_that_is_closed_says_that_its_copies_are_to_go(cast, phone, secret):
    other = make_link(cast.charter["T2"], at=NOW)[1]
    revoke_link(Link.objects.get(charter=cast.charter["S2"]), at=NOW)
    cancel_charter(cast.charter["T2"], at=NOW)
    for closed, status in ((secret, 410), (other, 410), (new_secret(), 404), ("x" * 28, 404)):
        for name in (*PAGES, "skipper-manifest"):
            page = phone.get(reverse(name, args=[closed]))
            assert (page.status_code, stands(page)) == (status, "closed")


def test_what_is_not_there_under_an_open_link_drops_nothing(phone, secret):
    page = phone.get(reverse("skipper-photo", args=[secret, "0" * 64]))
    assert (page.status_code, stands(page)) == (404, "open")


def test_an_address_in_capitals_leads_to_the_one_the_app_is_of(phone, secret):
    for begun in (f"/S/{secret}", f"/S/{secret.upper()}", f"/s/{secret.upper()}", f"/s/{secret}."):
        led = phone.get(f"{begun}/told/?about=3")
        assert (led.status_code, led["Location"]) == (302, f"/s/{secret}/told/?about=3")
        assert led["Cache-Control"] == "no-store"
        assert phone.head(f"{begun}/").status_code == 302
    assert phone.get(f"/S/{'x' * 28}/").status_code == 404
    assert phone.get("/S/").status_code == 404


def test_what_is_sent_to_an_address_in_capitals_is_taken_where_it_comes_in(cast, phone, secret):
    page = phone.get(f"/s/{secret}/")
    boat = cast.boat["sandpiper"].pk
    sent = phone.post(f"/S/{secret.upper()}/", {"words": "Leaks", "boat": boat})
    assert (page.status_code, sent.status_code, sent["Location"]) == (200, 302, f"/s/{secret}/sent/")


# The manifest


def manifest(phone, secret, **headers) -> dict:
    answer = phone.get(reverse("skipper-manifest", args=[secret]), headers=headers)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/manifest+json"
    assert answer["Cache-Control"] == "no-store"
    assert answer["X-Robots-Tag"] == "noindex"
    assert answer["Referrer-Policy"] == "same-origin"
    return json.loads(answer.content)


def test_each_link_is_an_app_of_its_own(cast, phone, secret):
    told = manifest(phone, secret)
    begins = f"/s/{secret}/"
    assert (told["name"], told["short_name"]) == ("Sandpiper, Harbour", "Sandpiper")
    assert told["id"] == told["start_url"] == told["scope"] == begins
    assert (told["display"], told["lang"]) == ("standalone", "en")
    assert manifest(phone, secret, **{"accept-language": "de-AT"})["lang"] == "de"
    other = make_link(cast.charter["T2"], at=NOW)[1]
    assert manifest(phone, other)["id"] == f"/s/{other}/"
    html = phone.get(begins).content.decode()
    assert f'<link rel="manifest" href="{begins}app.webmanifest">' in html
    assert 'rel="apple-touch-icon"' in html


def test_its_colours_are_the_almanacs(phone, secret):
    sheet = Path(finders.find("fleet/almanac.css")).read_text(encoding="utf-8")
    [paper] = re.findall(r"--paper: (#[0-9a-f]{6});", sheet)
    told = manifest(phone, secret)
    assert told["theme_color"] == told["background_color"] == paper
    assert f'<meta name="theme-color" content="{paper}">' in phone.get(f"/s/{secret}/").content.decode()


def test_its_marks_are_pictures_of_the_size_named_and_small(phone, secret):
    marks = manifest(phone, secret)["icons"]
    assert {(mark["sizes"], mark["purpose"]) for mark in marks} == {
        ("192x192", "any"),
        ("512x512", "any"),
        ("512x512", "maskable"),
    }
    for mark in marks:
        file = Path(finders.find(mark["src"].partition("?")[0].removeprefix("/static/")))
        with Image.open(file) as picture:
            assert f"{picture.width}x{picture.height}" == mark["sizes"]
            assert picture.format == "PNG"
        assert file.stat().st_size < 3_000


def test_what_matters_of_the_round_mark_lies_where_no_telephone_cuts():
    """Within 40 % of the width around the middle: W3C, Web App Manifest, “Icon masks and safe zone”."""
    with Image.open(finders.find("maintenance/phone/mark-round-512.png")) as picture:
        colours = picture.convert("RGB")
    paper, middle = colours.getpixel((0, 0)), colours.width / 2
    drawn = [(x, y) for x in range(0, 512, 4) for y in range(0, 512, 4) if colours.getpixel((x, y)) != paper]
    assert drawn
    assert max((x - middle) ** 2 + (y - middle) ** 2 for x, y in drawn) ** 0.5 < 0.4 * colours.width


def test_the_cleaners_pages_are_no_app(cast, phone, secret, engineer):
    html = phone.get(reverse("cleaner", args=[make_cleaners_link(cast.base, at=NOW)[1]])).content.decode()
    assert "<script" not in html
    assert "manifest" not in html


# Photos


def test_a_photo_goes_as_it_is_and_stays_out_of_other_caches(phone, secret):
    taken = SimpleUploadedFile("one.jpg", encoded(painted(600, 400)), "image/jpeg")
    tap(phone, phone.get(reverse("skipper", args=[secret])), MAIN, words="Leaks", photos=[taken])
    html = phone.get(reverse("skipper-sent", args=[secret])).content.decode()
    [photo] = re.findall(rf'href="(/s/{secret}/papers/[0-9a-f]+/)"', html)
    answer = phone.get(photo, headers={"accept-encoding": "gzip"})
    assert answer["Content-Type"] == "image/jpeg"
    assert "Content-Encoding" not in answer
    assert answer["Cache-Control"] == "no-store"
