"""A backup made while others write, brought back, and found to be what it was; and those that are not believed."""

from __future__ import annotations

import errno
import json
import os
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, date, datetime, time
from pathlib import Path
from zipfile import ZipFile

import jsonschema
import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.db import connection
from django.db.models import FileField

from tests.operation.background import Folder, until
from yard.models import Boat, Order, Person, Photograph, Place, WeeklyHours, YardSettings
from yard.services.backup import write as writing
from yard.services.backup.about import BackupRefused
from yard.services.backup.read import Backup
from yard.services.backup.restore import refuse_unless_same_and_empty, restore
from yard.services.backup.rows import kept_models, lines_of, name_of, row_of
from yard.services.backup.write import write_backup
from yard.services.photograph_files import Prepared, small_name, write

NOW = datetime(2027, 5, 6, 14, 30, 15, 123456, tzinfo=UTC)
WRITER = """
from time import sleep
from datetime import datetime, UTC
from django.db import transaction
from yard.models import Boat, Order
for number in range(100000):
    with transaction.atomic():
        boat = Boat.objects.create(ref=f"b{number}", name=f"Boat {number}", length_m=8, beam_m=2)
        Order.objects.create(ref=f"o{number}", boat=boat, name="Refit", made_at=datetime.now(UTC))
    sleep(0.02)
"""
PHOTOGRAPH = """
from django.core.management import call_command
call_command("migrate", verbosity=0)
from datetime import datetime, UTC
from tests.operation.small_yard import make_small_yard
from yard.models import Boat, Photograph
from yard.services.photograph_files import Prepared, write
make_small_yard()
boat = Boat.objects.create(ref="wren", name="Wren\\u2019s \\u65e5", length_m=8, beam_m=2)
name = write(Prepared(b"not looked at", b"small", "0"), folder="2027/05")
Photograph.objects.create(boat=boat, file=name, made_at=datetime(2027, 5, 6, 14, tzinfo=UTC))
"""


def a_folder(path: Path) -> Folder:
    path.mkdir(exist_ok=True)
    return Folder(path, settings="yard.settings")


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> tuple[Folder, Path, int]:
    """A yard that was written into all the while a backup was made: its folder, the backup, and how many boats were
    acknowledged before the backup began."""
    folder = a_folder(tmp_path_factory.mktemp("kept"))
    folder.python(PHOTOGRAPH)
    writer = folder.start("shell", "--no-imports", "-c", WRITER)
    until(lambda: folder.row("select count(*) from yard_boat")[0] > 20)
    acknowledged = folder.row("select count(*) from yard_order")[0]
    path = folder.path / "backup.zip"
    told = folder.run("backup", str(path))
    assert writer.poll() is None, "the writer must have gone on all the while"
    assert "Whole." in told
    folder.kill_all()
    return folder, path, acknowledged


@pytest.mark.once
def test_nothing_acknowledged_is_lost_and_it_comes_back_equal(made, tmp_path):
    folder, path, acknowledged = made
    back = a_folder(tmp_path / "back")
    again = f"call_command('restore', {str(path)!r}); call_command('backup', {str(tmp_path / 'again.zip')!r})"
    back.python(f"from django.core.management import call_command; {again}")
    boats, orders = (back.row(f"select count(*) from yard_{table}")[0] for table in ("boat", "order"))
    assert (orders >= acknowledged, boats) == (True, orders + 1), "each order came with its boat, or neither did"
    assert boats <= folder.row("select count(*) from yard_boat")[0]
    with closing(sqlite3.connect(back.path / "yard.sqlite3")) as database:
        assert database.execute("pragma integrity_check").fetchall() == [("ok",)]
        assert database.execute("pragma foreign_key_check").fetchall() == []
    with Backup(path) as first, Backup(tmp_path / "again.zip") as again:
        assert again.about.tables == first.about.tables
        assert again.about.photographs == first.about.photographs
        full, small = sorted(first.about.photographs, key=len)
    photographs = back.path / "photographs"
    assert ((photographs / small).read_bytes(), (photographs / full).read_bytes()) == (b"small", b"not looked at")


def test_every_line_is_what_the_schema_beside_it_says(made):
    _, path, _ = made
    with ZipFile(path) as archive, Backup(path) as backup:
        schema = json.loads(archive.read("schema.json"))
        jsonschema.Draft202012Validator.check_schema(schema)
        seen = 0
        for table in backup.about.tables:
            each = jsonschema.Draft202012Validator({"$defs": schema["$defs"], "$ref": f"#/$defs/{table}"})
            for line in backup.lines(table):
                each.validate(json.loads(line))
                seen += 1
    assert seen > 50


def test_the_schema_refuses_what_is_no_boat(made):
    _, path, _ = made
    with ZipFile(path) as archive, Backup(path) as backup:
        schema = json.loads(archive.read("schema.json"))
        boat = json.loads(next(backup.lines("yard.boat")))
    each = jsonschema.Draft202012Validator({"$defs": schema["$defs"], "$ref": "#/$defs/yard.boat"})
    for wrong in ({"length_m": "8"}, {"name": None}, {"sails": 2}):
        assert not each.is_valid(boat | wrong)


@pytest.mark.parametrize(
    ("file", "change", "said"),
    [
        ("tables/yard.boat.jsonl", lambda kept: kept.replace(b"Boat 3", b"Bost 3"), "yard.boat has"),
        ("tables/yard.boat.jsonl", lambda kept: kept[: len(kept) // 2], "yard.boat has"),
        ("tables/yard.boat.jsonl", None, "yard.boat cannot be read"),
        ("about.json", lambda kept: kept.replace(b"form 1", b"form 9"), "this program knows"),
        ("about.json", lambda kept: kept.replace(b'"rows"', b'"lines"'), "is damaged"),
        ("about.json", lambda kept: b"[]", "this program knows"),
        ("about.json", None, "not whole"),
        ("photographs/", lambda kept: kept + b"x", "is not the one"),
    ],
)
def test_a_damaged_backup_is_not_believed(made, tmp_path, file, change, said):
    _, path, _ = made
    damaged = tmp_path / "damaged.zip"
    with ZipFile(path) as whole, ZipFile(damaged, "w") as copy:
        for entry in whole.namelist():
            kept = whole.read(entry)
            if entry.startswith(file) and change is None:
                continue
            copy.writestr(entry, change(kept) if entry.startswith(file) else kept)
    with pytest.raises(BackupRefused, match=said), Backup(damaged) as backup:
        backup.verify()


def test_a_torn_file_and_a_photograph_out_of_its_folder_are_not_believed(made, tmp_path):
    _, path, _ = made
    torn = tmp_path / "torn.zip"
    torn.write_bytes(path.read_bytes()[:-2000])
    with pytest.raises(BackupRefused, match="not whole"):
        Backup(torn)
    with Backup(path) as backup:
        for name in ("../../etc/passwd", "/etc/passwd", "..\\x"):
            with pytest.raises(BackupRefused, match="outside"):
                backup.photograph(name)


@pytest.fixture
def rich(db, tmp_path, settings) -> None:
    """Rows with every kind of column, with the keys that they have in any database."""
    settings.MEDIA_ROOT = tmp_path / "photographs"
    YardSettings.objects.create(name="Créek “日”", time_zone="America/New_York", clock_frozen_at=NOW, latitude=43.66)
    ben = Person.objects.create(id=7, name="Ben Ash", short_name="Ben", starts_on=date(2027, 1, 2))
    WeeklyHours.objects.create(id=7, person=ben, weekday=0, starts=time(8), ends=time(16, 30))
    Place.objects.create(id=7, ref="ramp", name="Ramp", kind="ramp", wind_limits=[{"gust_kn": 15.5, "from_deg": 45}])
    wren = Boat.objects.create(id=7, ref="wren", name="Wren", length_m=7.123456789012345, beam_m=2.3, notes="a\nb\t'\"")
    Order.objects.create(id=7, ref="1", boat=wren, name="Refit", made_at=NOW)
    name = write(Prepared(b"not looked at", b"small", "0"), folder="2027/05")
    Photograph.objects.create(id=7, boat=wren, file=name, made_at=NOW)


def test_every_row_is_read_back_from_its_line(rich):
    seen = 0
    for model in kept_models(apps):
        for line in list(lines_of(model)):
            row = row_of(model, line)
            kept = model._base_manager.get(pk=row.pk)
            for field in model._meta.concrete_fields:
                assert getattr(row, field.attname) == getattr(kept, field.attname), (name_of(model), field.attname)
            seen += 1
    assert seen >= 10


def test_whole_or_not_there_on_a_full_disk(rich, tmp_path, monkeypatch):
    to = tmp_path / "backup.zip"
    to.write_bytes(b"the one before")
    monkeypatch.setattr(writing, "_migrations", lambda: ())

    def full(_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(writing.os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_backup(to, now=NOW)
    assert to.read_bytes() == b"the one before"
    assert [each.name for each in tmp_path.iterdir() if each.suffix == ".part"] == []


def test_no_other_table_names_files():
    models = [model for model in kept_models(apps) if any(isinstance(each, FileField) for each in model._meta.fields)]
    assert models == [Photograph], "write_backup copies the photographs' folder alone"


def test_nothing_is_brought_back_over_rows_that_are_there(rich, tmp_path, monkeypatch):
    monkeypatch.setattr(writing, "_migrations", lambda: ())
    about = write_backup(tmp_path / "backup.zip", now=NOW)
    with pytest.raises(BackupRefused, match="This yard is not empty"):
        refuse_unless_same_and_empty(kept_models(apps), about)


def test_a_photograph_that_is_gone_is_told_and_the_rest_is_kept(rich, tmp_path, monkeypatch):
    monkeypatch.setattr(writing, "_migrations", lambda: ())
    name = Photograph.objects.get().file.name
    shutil.rmtree(default_storage.location)
    about = write_backup(tmp_path / "backup.zip", now=NOW)
    assert about.missing == (name, small_name(name))
    with Backup(tmp_path / "backup.zip") as backup:
        backup.verify()


@pytest.mark.skipif(connection.vendor == "sqlite", reason="SQLite's way back is walked above, in processes")
def test_it_comes_back_equal_into_a_database_of_this_kind(rich, tmp_path):
    about = write_backup(tmp_path / "backup.zip", now=NOW)
    for model in kept_models(apps):
        model._base_manager.all()._raw_delete(connection.alias)
    assert restore(tmp_path / "backup.zip") == about
    assert Boat.objects.get().length_m == 7.123456789012345
    assert Boat.objects.create(ref="new", name="New", length_m=8, beam_m=2).pk > 7, "numbers go on after the highest"
