"""Photos on the phone: made small and upright one after the other, and what cannot be taken is named."""

from io import BytesIO

import pytest
from PIL import Image
from playwright.sync_api import expect

from maintenance.defects.models import Defect
from tests.journeys.filling_in import choose, nothing_waits, open_form, report, send, shown_photos
from tests.papers import BLUE, GREEN, RED, WHITE, encoded, noted, opened, painted

pytestmark = pytest.mark.django_db(transaction=True)
ALL_KEPT = """async () => {
    const db = await idb.openDB('fettle');
    const told = await db.getAll('photos');
    const blobs = await Promise.all(told.map(({ id }) => db.get('blobs', id)));
    db.close();
    const first = Array.from(new Uint8Array(await blobs[0].arrayBuffer()));
    return { first, sizes: blobs.map((blob) => blob.size), told: told.map(({ size }) => size) };
}"""
TWELVE_MB = 12_000_000


def near(found, wanted):
    return all(abs(one - other) < 30 for one, other in zip(found, wanted, strict=True))


def test_a_photo_held_sideways_is_kept_and_sent_upright_and_says_no_more_where_it_was(
    link, pocket, papers_here
):
    page = open_form(pocket, link)
    report(page, "Sail torn")
    sideways = encoded(painted(2400, 1600), exif=noted(orientation=6), quality=95)
    choose(page, {"name": "sail.jpg", "mimeType": "image/jpeg", "buffer": sideways})
    shown_photos(page, 1)
    data = bytes(page.evaluate(ALL_KEPT)["first"])
    upright = opened(data).convert("RGB")
    assert upright.size == (1333, 2000)
    # Orientation 6 (Exif 3.0, 4.6.5.1.6): the first row is the right side seen, the first column its top.
    corners = [upright.getpixel(at) for at in [(50, 50), (1280, 50), (50, 1950), (1280, 1950)]]
    assert all(near(*pair) for pair in zip(corners, [BLUE, RED, WHITE, GREEN], strict=True)), corners
    assert not Image.open(BytesIO(data)).getexif()
    send(page)
    page.wait_for_url("**/sent/")
    nothing_waits(page)
    sent = [path for path in papers_here.rglob("*") if path.is_file() and path.stat().st_size > 1000]
    assert any(opened(path.read_bytes()).size == (1333, 2000) for path in sent)


@pytest.mark.long
def test_twelve_photos_of_twelve_megabytes_are_taken_and_a_thirteenth_is_named(link, pocket, tmp_path):
    data = encoded(painted(4000, 3000), quality=95)
    data += b"\0" * (TWELVE_MB - len(data))  # what stands behind a picture's end is no part of it
    files = [tmp_path / f"photo {n}.jpg" for n in range(1, 14)]
    for path in files:
        path.write_bytes(data)
    page = open_form(pocket, link)
    page.get_by_label("What happens").fill("All over")
    choose(page, *files)
    shown_photos(page, 12, timeout=60_000)
    expect(page.get_by_role("alert")).to_have_text("photo 13.jpg is not taken: wanted at most 12 photos.")
    kept = page.evaluate(ALL_KEPT)
    assert len(kept["sizes"]) == 12
    assert max(kept["sizes"]) < TWELVE_MB / 4
    assert kept["sizes"] == kept["told"]
    for remove in page.locator(".taken button").all():
        box = remove.bounding_box()
        assert min(box["height"], box["width"]) >= 44
    expect(page.get_by_role("img", name="Photo 12")).to_be_visible()


def test_what_this_phone_cannot_open_is_left_to_the_base_or_refused_by_name(link, pocket, tmp_path):
    page = open_form(pocket, link)
    report(page, "Leaks")
    named = {"huge.png": encoded(Image.new("1", (9000, 9000)), "PNG"), "zip.jpg": b"PK\x03\x04" + bytes(900)}
    named["long.jpg"] = b"PK\x03\x04" + bytes(15_000_001)
    for name, data in named.items():
        (tmp_path / name).write_bytes(data)
    choose(page, *(tmp_path / name for name in named))
    shown_photos(page, 2)
    expect(page.get_by_role("alert")).to_contain_text("long.jpg is not taken")
    send(page)
    page.wait_for_url("**/sent/")
    nothing_waits(page)
    kept = page.locator("#kept article")
    expect(kept).to_contain_text("Photo 1: ")
    expect(kept).to_contain_text("Photo 2: ")
    defect = Defect.objects.get()
    assert (defect.words, defect.papers.count()) == ("Leaks", 0)
    kept.get_by_role("button", name="I have read it").click()
    expect(kept).to_have_count(0)
