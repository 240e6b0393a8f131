"""Notes, photographs and measurements: kept once, refused with the entry named, taken back on file."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from io import BytesIO
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.core.files.storage import default_storage
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from yard.models import Boat, Measurement, Memo, Order, Photograph, Season
from yard.services import photograph_files
from yard.services.keep_records import (
    About,
    Measured,
    RecordRefused,
    about_order,
    keep_measurement,
    keep_note,
    keep_photograph,
    take_back_record,
)
from yard.services.photograph_files import FULL_PX, SMALL_PX, small_name

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
ORIENTATION, CAMERA, GPS = 0x0112, 0x010F, 0x8825  # Exif 2.32, tables 4 and 15: Orientation, Make, GPSInfo


@pytest.fixture(autouse=True)
def folder(settings, tmp_path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def ben() -> User:
    return User.objects.create(username="ben")


@pytest.fixture
def teal() -> Boat:
    return Boat.objects.create(ref="teal", name="Teal", length_m=9, beam_m=3)


def picture(width: int = 400, height: int = 300, kind: str = "JPEG", mode: str = "RGB", **more) -> bytes:
    written = BytesIO()
    Image.new(mode, (width, height), "teal").save(written, kind, **more)
    return written.getvalue()


def files(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


def shot(row: Photograph, *, small: bool = False) -> Image.Image:
    name = str(row.file.name)
    with default_storage.open(small_name(name) if small else name) as file:
        image = Image.open(BytesIO(file.read()))
        image.load()
        return image


def test_a_note_sent_twice_is_one_and_said_again_later_is_two(teal, ben):
    first = keep_note(About(teal), " stiff zip ", by=ben, now=NOW)
    assert keep_note(About(teal), "stiff zip", by=ben, now=NOW + timedelta(minutes=1)) == first
    assert keep_note(About(teal), "stiff zip", by=ben, now=NOW + timedelta(hours=1)) != first
    assert (first.text, first.made_by, first.made_at, first.boat) == ("stiff zip", ben, NOW, teal)


def test_what_is_empty_or_not_of_her_is_refused(teal, ben):
    other = Boat.objects.create(ref="smew", name="Smew", length_m=9, beam_m=3)
    order = Order.objects.create(ref="O-1", boat=other, name="Spring", made_at=NOW)
    with pytest.raises(RecordRefused) as refused:
        keep_note(About(teal), "  ", by=ben, now=NOW)
    assert refused.value.field == "text"
    with pytest.raises(RecordRefused):
        About(teal, order)
    with pytest.raises(RecordRefused):
        About()
    assert not Memo.objects.exists()


@pytest.mark.parametrize("value", [0, -1, float("nan"), float("inf"), 101])
def test_a_length_that_cannot_be_is_refused(teal, ben, value):
    with pytest.raises(RecordRefused) as refused:
        keep_measurement(About(teal), Measured("boom to sole", value), by=ben, now=NOW)
    assert refused.value.field == "value"
    assert not Measurement.objects.exists()


def test_a_walk_ins_measure_hangs_on_the_order(ben):
    order = Order.objects.create(ref="O-1", walk_in_name="Noel Pike", name="Sail repair", made_at=NOW)
    row = keep_measurement(about_order(order), Measured("luff", 6.2), by=ben, now=NOW)
    assert (row.order, row.boat, row.value) == (order, None, 6.2)


def test_a_photograph_is_small_upright_and_says_nothing_of_where_it_was_taken(teal, ben):
    exif = Image.Exif()
    exif[ORIENTATION], exif[CAMERA] = 6, "a telephone"  # 6: the top of the picture is its right side
    exif.get_ifd(GPS)[1] = "N"
    sent = picture(4000, 1000, exif=exif.tobytes(), comment=b"at the mill")
    assert b"a telephone" in sent
    assert b"at the mill" in sent
    row = keep_photograph(About(teal), sent, caption="chafe", by=ben, now=NOW)
    full, small = shot(row), shot(row, small=True)
    assert full.size == (FULL_PX // 4, FULL_PX)
    assert max(small.size) == SMALL_PX
    for kept in (full, small):
        assert kept.format == "JPEG"
        assert dict(kept.getexif()) == {}
        assert not {"comment", "exif", "icc_profile", "xmp"} & set(kept.info)


def test_names_are_not_guessed_and_do_not_follow_what_was_sent(teal, ben, folder):
    one = keep_photograph(About(teal), picture(), by=ben, now=NOW)
    two = keep_photograph(About(teal), picture(401), by=ben, now=NOW)
    stems = {Path(str(row.file.name)).stem for row in (one, two)}
    assert len(stems) == 2
    assert all(len(bytes.fromhex(stem)) * 8 >= 128 for stem in stems)
    assert len(files(folder)) == 4


def test_the_same_photograph_is_kept_once_until_it_is_taken_back(teal, ben, folder):
    first = keep_photograph(About(teal), picture(), by=ben, now=NOW)
    assert keep_photograph(About(teal), picture(), by=ben, now=NOW + timedelta(days=1)) == first
    assert len(files(folder)) == 2
    assert take_back_record(first, by=ben, now=NOW)
    assert not take_back_record(first, by=ben, now=NOW)
    assert keep_photograph(About(teal), picture(), by=ben, now=NOW) != first


@pytest.mark.parametrize(
    "sent",
    [b"", b"<script>alert(1)</script>", b"GIF89a" + bytes(40), picture()[:400], picture(kind="BMP"), b"%PDF-1.7\n"],
    ids=["nothing", "a script", "a gif", "half a jpeg", "a bmp", "a pdf"],
)
def test_what_is_no_photograph_is_refused_whatever_it_is_called(teal, ben, folder, sent):
    with pytest.raises(RecordRefused) as refused:
        keep_photograph(About(teal), sent, by=ben, now=NOW)
    assert refused.value.field == "photograph"
    assert files(folder) == []
    assert not Photograph.objects.exists()


def test_too_many_bytes_or_pixels_are_refused_before_they_are_decoded(teal, ben, monkeypatch):
    with pytest.raises(RecordRefused, match="larger than 25 MB"):
        keep_photograph(About(teal), bytes(photograph_files.MOST_BYTES + 1), by=ben, now=NOW)
    monkeypatch.setattr(photograph_files, "MOST_PIXELS", 100_000)
    with pytest.raises(RecordRefused, match="pixels are too many"):
        keep_photograph(About(teal), picture(400, 300), by=ben, now=NOW)


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P", "L", "I;16"])
def test_every_kind_of_png_is_kept_as_a_jpeg(teal, ben, mode):
    written, words = BytesIO(), PngInfo()
    words.add_text("Author", "somebody")
    Image.new(mode, (50, 40)).save(written, "PNG", pnginfo=words)
    row = keep_photograph(About(teal), written.getvalue(), by=ben, now=NOW)
    assert (shot(row).mode, shot(row).size) == ("RGB", (50, 40))
    assert "Author" not in shot(row).info


def test_a_full_disk_leaves_neither_row_nor_file(teal, ben, folder, monkeypatch):
    real, calls = default_storage.save, []

    def save(name, content):
        calls.append(name)
        if len(calls) == 2:
            raise OSError(28, "No space left on device")
        return real(name, content)

    monkeypatch.setattr(default_storage, "save", save)
    with pytest.raises(RecordRefused, match="room"):
        keep_photograph(About(teal), picture(), by=ben, now=NOW)
    assert not Photograph.objects.exists()
    assert files(folder) == []


def test_beside_an_order_of_a_closed_season_nothing_is_kept_or_taken_back(teal, ben):
    """Her own notes go on; what stands beside the order stays as it is."""
    season = Season.objects.create(name="Spring 2027", starts_on=date(2027, 1, 1), ends_on=date(2027, 7, 1))
    order = Order.objects.create(ref="27-001", boat=teal, season=season, name="Spring", made_at=NOW)
    before = keep_note(about_order(order), "chafe at the bow", by=ben, now=NOW)
    Season.objects.update(closed_at=NOW)
    order = Order.objects.get()
    later = NOW + timedelta(days=1)
    wrong = [
        lambda: keep_note(about_order(order), "more", by=ben, now=later),
        lambda: keep_measurement(about_order(order), Measured("boom", 3.0), by=ben, now=later),
        lambda: keep_photograph(about_order(order), picture(), by=ben, now=later),
        lambda: take_back_record(before, by=ben, now=later),
    ]
    for act in wrong:
        with pytest.raises(RecordRefused, match="Spring 2027 is closed"):
            act()
    assert (Memo.objects.get().taken_back_at, Photograph.objects.count(), Measurement.objects.count()) == (None, 0, 0)
    assert keep_note(About(teal), "new pendant", by=ben, now=later).pk
