"""What is kept of an owner; and after an erasure no trace of her anywhere, while the yard's history is whole."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.contrib.auth.models import User
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.mail import EmailMessage
from django.db import models
from django_tasks_db.models import DBTaskResult

from tests.services.ordering import ordered
from tests.services.test_merge import hang_everything_on
from yard.models import (
    Boat,
    BoatOwner,
    FeedEntry,
    FeedMember,
    JobWork,
    Letter,
    MaterialUsed,
    Memo,
    Order,
    Owner,
    OwnerAnswer,
    OwnerPage,
    Person,
    Photograph,
    RunWish,
    SaleToCome,
    SecurityEvent,
    SheetImport,
    Telling,
    WholeChange,
    YardSettings,
)
from yard.services.keep_owner import digits_of
from yard.services.personal_data import tables
from yard.services.personal_data.erase import NotErased, erase, what_stands_in_the_way
from yard.services.personal_data.kept import kept_of, perhaps_of
from yard.services.personal_data.names import COLUMNS, TABLES, table_said
from yard.services.personal_data.tables import BECOMES, Goes, UnknownTable, history_of, relations, written_columns
from yard.services.personal_data.traces import traces_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("packages")]
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
NAME, MAIDEN, PHONE, MOBILE = "Marguerite O'Dowd", "Marguerite Thorne", "(401) 555-0142", "+1 401 555 0199"
EMAIL, ADDRESS = "m.odowd@creek.example", "17 Osprey Lane\nTallow Creek, RI 02840"
NEEDLES = (
    "marguerite o'dowd",
    "o'dowd, marguerite",
    "marguerite thorne",
    "marguerite o&#x27;dowd",
    "4015550142",
    "4015550199",
    "m.odowd@creek.example",
    "osprey lane",
    "marguerite-odowd",
)
"""However they are written: looked for without blanks, signs between digits, or the folds of a calendar's lines."""


@pytest.fixture
def ada() -> User:
    return User.objects.create(username="ada")


@pytest.fixture
def her(settings, tmp_path) -> Owner:
    """An owner with something in every table that may name one, and her name in many that may not."""
    settings.MEDIA_ROOT, settings.EMAIL_FILE_PATH = tmp_path / "photographs", tmp_path / "letters"
    owner = Owner.objects.create(name=MAIDEN, ref="marguerite-odowd", phone=MOBILE)
    Owner.objects.filter(pk=owner.pk).update(name=NAME)
    owner.refresh_from_db()
    owner.phone, owner.other_phones, owner.email, owner.address = PHONE, f"{MOBILE}, at work", EMAIL, ADDRESS
    owner.notes, owner.language = "Widow since 2019.", "fr"
    owner.save()
    boat = Boat.objects.create(ref="knot", name="Knot", length_m=7, beam_m=2.4, draft_m=1.1, notes=f"Key with {NAME}.")
    hang_everything_on(boat, owner)
    BoatOwner.objects.update(ends_on=date(2027, 4, 1), told_first=False)
    SaleToCome.objects.update(new_owner={"name": NAME, "phone": PHONE})
    RunWish.objects.update(name=NAME, phone=PHONE, state="withdrawn")
    Letter.objects.all().delete()
    sent = {"owner": owner, "state": "sent", "sent_at": NOW, "made_at": NOW, "subject": f"{NAME}, your boat"}
    letter = Letter.objects.create(**sent, text=f"Dear {NAME}", html="Dear Marguerite O&#x27;Dowd", to_address=EMAIL)
    letter.save()
    Telling.objects.update(said=f"Spoke to {NAME}", letter=letter)
    OwnerAnswer.objects.update(said="Suits me. Marguerite O'Dowd")
    twin = Owner.objects.create(name="M. Odowd-Thorne", phone="4015550142", merged_into=owner, archived=True)
    WholeChange.objects.create(
        kind="owners", owner=owner, gone=twin.pk, says=f"{twin} merged into {NAME}", made_at=NOW, rows=[{"name": NAME}]
    )
    _named_elsewhere(boat, owner)
    return owner


def _named_elsewhere(boat: Boat, owner: Owner) -> None:
    order = ordered(boat, "spring_commissioning")
    Order.objects.filter(pk=order.pk).update(walk_in_name="O'Dowd,  Marguerite", notes="call 401.555.0142 first")
    job = order.jobs.all()[0]
    JobWork.objects.create(
        job=job, worked_on=date(2027, 5, 3), person=Person.objects.create(name="Cal", short_name="Cal"), worked_min=90
    )
    MaterialUsed.objects.create(job=job, name="shackle", quantity=2, unit="pc", used_on=date(2027, 5, 3), noted_at=NOW)
    memo = Memo.objects.create(
        boat=boat, text=f"{NAME.upper()} says: 17 Osprey Lane, Tallow Creek, RI 02840", made_at=NOW
    )
    Memo.objects.create(boat=boat, text="Mrs O'Dowd rang", made_at=memo.made_at)
    SheetImport.objects.create(
        of="owners",
        file_name="owners.xlsx",
        sent_at=NOW,
        changes=[{"ref": "marguerite-odowd", "old": {"email": EMAIL}}],
    )
    span = {"starts_at": NOW, "ends_at": NOW.replace(hour=15), "made_at": NOW, "revised_at": NOW, "part": "deadlines"}
    folded = "SUMMARY:Call Margue\r\n rite O'Dowd about her mooring\r\n"
    entry = FeedEntry.objects.create(
        key="call 1", content={"summary": f"Call {NAME}"}, lines=folded, fingerprint="1", **span
    )
    FeedMember.objects.create(entry=entry, kind="owner", subject=owner.pk, taken_off_at=NOW, lines=folded)
    FeedEntry.objects.create(key="call 2", content={"summary": "Call"}, lines=folded, fingerprint="2", **span)
    DBTaskResult.objects.create(args_kwargs={"args": [NAME], "kwargs": {}}, task_path="t", backend_name="default")
    session = SessionStore()
    session["_messages"] = f"{NAME} is on file."
    session.save()
    for to in (EMAIL, "bo@creek.example"):
        EmailMessage(f"Your boat, {to}", "Dear owner, é", "yard@creek.example", [to]).send()


def everything() -> dict[str, str]:
    """Every value of every table, as JSON in one text a table: to look for what must not be there."""
    found = {}
    for model in apps.get_models(include_auto_created=True):
        rows = model._base_manager.values_list()
        text = json.dumps([[str(value) for value in row] for row in rows], ensure_ascii=False)
        found[model._meta.label] = text.replace("\\r\\n ", "").lower()
    found["sessions.Session"] = str([row.get_decoded() for row in Session.objects.all()]).lower()
    return found


def traces_left() -> set[tuple[str, str]]:
    left = set()
    for table, text in everything().items():
        bare = "".join(letter for letter in text if letter not in " ()-./+")
        spaced = " ".join(text.split())
        for needle in NEEDLES:
            if needle in spaced or (needle.isdigit() and needle in bare):
                left.add((table, needle))
    return left


def history_of_the_yard() -> dict[str, Any]:
    """What must stay as it is."""
    return {
        "boats": list(Boat.objects.values_list("name", "length_m", "draft_m")),
        "orders": list(Order.objects.order_by("pk").values_list("ref", "boat", "name", "state")),
        "work": list(JobWork.objects.values_list("job", "worked_on", "worked_min")),
        "materials": list(MaterialUsed.objects.values_list("name", "quantity", "unit")),
        "shares": list(BoatOwner.objects.values_list("boat", "owner", "starts_on", "ends_on")),
        "told": list(Telling.objects.values_list("order", "state", "told_date", "how")),
        "letters": list(Letter.objects.values_list("owner", "kind", "state", "sent_at", "tells")),
    }


@pytest.fixture
def mail_in_files(settings) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"


def test_no_trace_is_left_and_the_yards_history_is_whole(mail_in_files, her, ada):
    before, shown = history_of_the_yard(), traces_left()
    tables_named = {table for table, _ in shown}
    assert tables_named >= {
        "yard.Owner",
        "yard.HistoricalOwner",
        "yard.Letter",
        "yard.HistoricalLetter",
        "yard.Boat",
        "yard.HistoricalBoat",
        "yard.Order",
        "yard.Memo",
        "yard.SheetImport",
        "yard.FeedEntry",
        "yard.FeedMember",
        "yard.WholeChange",
        "yard.RunWish",
        "yard.SaleToCome",
        "django_tasks_database.DBTaskResult",
        "sessions.Session",
    }, "the yard of this test names her less than it should"
    done = erase(her, typed=NAME, photographs=False, by=ada, now=NOW)
    assert traces_left() == set()
    assert history_of_the_yard() == before
    assert (done.letter_files, done.photographs) == (1, 0)
    her.refresh_from_db()
    assert (her.name, her.notes, her.language, her.archived) == (f"Erased owner {her.pk}", "", "", True)
    assert not OwnerPage.objects.filter(owner=her).exists()
    event = SecurityEvent.objects.get()
    assert (event.kind, event.by, event.about) == ("erased", ada, f"owner {her.pk}")


def test_letters_as_files_go_and_those_of_others_stay(mail_in_files, her, ada, settings):
    erase(her, typed=NAME, photographs=False, by=ada, now=NOW)
    left = b"".join(path.read_bytes() for path in Path(settings.EMAIL_FILE_PATH).iterdir())
    assert b"bo@creek.example" in left
    assert EMAIL.encode() not in left


def test_what_another_has_as_well_stays_with_them(her, ada):
    Owner.objects.create(name="Bo Reed", phone=PHONE, email=EMAIL)
    Person.objects.create(name=NAME, short_name="Mo")
    erase(her, typed=NAME, photographs=False, by=ada, now=NOW)
    bo = Owner.objects.get(name="Bo Reed")
    assert (bo.phone, bo.email) == (PHONE, EMAIL)
    assert Person.objects.get(short_name="Mo").name == NAME


def test_the_yards_own_number_means_nobody_on_file(her, ada):
    """An owner who gave the yard's telephone as their own is not meant by every calendar that names the yard."""
    YardSettings.objects.update_or_create(pk=1, defaults={"phone": PHONE})
    found = traces_of([her])
    assert not found.in_text(f"Questions: {PHONE}")
    assert found.in_text(f"Call her at {MOBILE}")
    assert not any(digits_of(PHONE) in digits_of(each) for each in found.hints.short_names | found.shared)


def test_all_or_nothing(her, ada, monkeypatch):
    def breaks(traces: Any) -> int:
        raise OSError("the disk is full")

    monkeypatch.setattr("yard.services.personal_data.erase.erase_letter_files", breaks)
    before = everything()
    with pytest.raises(OSError, match="disk"):
        erase(her, typed=NAME, photographs=False, by=ada, now=NOW)
    assert everything() == before


@pytest.mark.parametrize("typed", ["", "Marguerite", "Bo Reed"])
def test_the_name_must_be_typed(her, ada, typed):
    with pytest.raises(NotErased, match="type the name as it stands"):
        erase(her, typed=typed, photographs=False, by=ada, now=NOW)
    assert Owner.objects.filter(name=NAME).exists()


def test_what_stands_in_the_way_is_said_with_its_remedy(her, ada):
    assert what_stands_in_the_way(her) == []
    BoatOwner.objects.update(ends_on=None)
    RunWish.objects.update(state="asked")
    SaleToCome.objects.update(called_off_at=None)
    said = " ".join(what_stands_in_the_way(her))
    for words in ("Still owner of Knot: sell her", "call the sale off", "runs first"):
        assert words in said
    with pytest.raises(NotErased, match="Still owner of Knot"):
        erase(her, typed=NAME, photographs=False, by=ada, now=NOW)
    twin = her.merged_from.get()
    assert "erase that one" in what_stands_in_the_way(twin)[0]


def test_photographs_go_where_asked_and_only_of_boats_nobody_else_owned(her, ada, django_capture_on_commit_callbacks):
    knot, wren = Boat.objects.get(ref="knot"), Boat.objects.create(ref="wren", name="Wren", length_m=7, beam_m=2.3)
    for owner in (her, Owner.objects.create(name="Bo Reed")):
        BoatOwner.objects.create(boat=wren, owner=owner, starts_on=date(2026, 1, 1), ends_on=date(2027, 1, 1))
    Photograph.objects.all().delete()
    for boat in (knot, wren):
        name = default_storage.save(f"{boat.ref}.jpg", ContentFile(b"a picture"))
        Photograph.objects.create(boat=boat, file=name, sha256=boat.ref, made_at=NOW)
    with django_capture_on_commit_callbacks(execute=True):
        done = erase(her, typed=NAME, photographs=True, by=ada, now=NOW)
    assert done.photographs == 1
    assert list(Photograph.objects.values_list("boat__ref", flat=True)) == ["wren"]
    assert [default_storage.exists(name) for name in ("knot.jpg", "wren.jpg")] == [False, True]


def test_everything_that_names_her_is_taken_out_and_no_key(her):
    kept = kept_of(her)
    said = kept.as_json(yard="Tallow Creek", now=NOW)
    text = json.dumps(said, ensure_ascii=False)
    page = OwnerPage.objects.get(owner=her)
    assert page.token_sha256 not in text
    assert str(page.seed) not in text
    assert said["tables"]["yard.owner"][0]["notes"] == "Widow since 2019."
    assert len(said["tables"]["yard.historicalowner"]) == 3  # as she was first, as she is, and the row found to be her
    for name, model, field in relations():
        if model is not Owner:
            keys = {row["id"] for row in said["tables"][model._meta.label_lower]}
            assert keys == set(tables.rows_of(model, field, [her.pk]).values_list("pk", flat=True)), name
    assert {"yard.boat", "yard.order", "yard.memo", "yard.sheetimport"} <= {each["table"] for each in said["mentions"]}


def test_a_surname_alone_is_for_a_person_to_judge(her):
    assert "Mrs O'Dowd rang" in {each.words for each in perhaps_of(kept_of(her))}
    assert "Mrs O'Dowd rang" not in {each.words for each in kept_of(her).mentions}


def test_what_becomes_of_every_table_is_said(monkeypatch):
    """A new model that names owners fails here until personal_data/tables.py says what becomes of its rows."""
    assert {name for name, _, _ in relations()} == set(BECOMES)
    monkeypatch.delitem(tables.BECOMES, "Letter.owner")
    with pytest.raises(UnknownTable, match=r"Letter\.owner"):
        list(relations())


KEPT_WORDS = {
    "Letter": {"read_as": "a fingerprint", "tells": "orders and days"},
    "SaleToCome": {"agreed": "terms without a name", "why_not": "looked through for her name as every text is"},
}
"""Columns of words in tables that stay, which an erasure does not empty, and why."""


def test_every_column_of_words_beside_her_name_is_emptied_or_says_why_not():
    for name, model, _ in relations():
        becomes = BECOMES[name]
        if isinstance(becomes, Goes) or model is Owner:
            continue
        words = {column.attname for column in written_columns(model)}
        assert words == set(becomes.columns) & words | set(KEPT_WORDS.get(model.__name__, {})), name
        if (history := history_of(model)) is not None:
            assert set(becomes.columns) <= {column.attname for column in history._meta.concrete_fields}
    own = {column.attname for column in written_columns(Owner)}
    assert own == (set(tables.OWNER_COLUMNS) & own) | {"name", "ref"}


@pytest.mark.parametrize(
    ("text", "hers"),
    [
        ("Ann Hale", True),
        ("ANN\n  HALE", True),
        ("Hale, Ann", True),
        ("Joann Hale", False),
        ("Ann Haley", False),
        ("401-555-0142", True),
        ("14015550142", False),
        ("5550142", False),
        ("ann@creek.example.", True),
        ("joann@creek.example", False),
        ("3 Quay Street, Tallow Creek", True),
        ("13 Quay Street", False),
        ("hale", True),
        ("inhale", False),
    ],
)
def test_how_a_trace_is_written(text, hers):
    ann = Owner.objects.create(
        name="Ann Hale",
        ref="hale",
        phone="401 555 0142",
        email="Ann@creek.example",
        address="3 Quay Street\nTallow Creek",
    )
    traces = traces_of([ann])
    assert traces.in_text(text) is hers
    assert traces.in_text(traces.taken_out(text)) is False


def test_models_of_words_are_looked_through_by_machine():
    looked = {model.__name__ for model in tables.every_table()}
    with_words = {
        model.__name__
        for model in apps.get_models(include_auto_created=True)
        if any(_is_word(c) for c in model._meta.fields)
    }
    hidden = {name for each in tables.LOOKED_THROUGH_NOT for name in (each, f"Historical{each}")} | {"Session"}
    assert with_words - looked <= hidden


def _is_word(column: models.Field) -> bool:
    return isinstance(column, models.CharField | models.TextField | models.JSONField)


def test_every_table_and_column_in_which_words_can_stand_has_its_name_in_the_catalogue():
    """In English they are what the models say, with their histories; another language needs each of them listed."""
    emptied: dict[type[models.Model], set[str]] = {Owner: {"name", "ref", *tables.OWNER_COLUMNS}}
    for name, model, _relation in relations():
        if isinstance(becomes := BECOMES[name], tables.Nameless):
            emptied.setdefault(model, set()).update(becomes.columns)
    here = [model for model in (*tables.every_table(), Owner) if model._meta.app_label == "yard"]
    named = {
        model: {str(column.verbose_name) for column in written_columns(model)}
        | {str(column.verbose_name) for column in model._meta.concrete_fields if column.name in emptied.get(model, ())}
        for model in here
    }
    named = {model: columns for model, columns in named.items() if columns}
    assert {str(model._meta.verbose_name) for model in named if not hasattr(model, "instance_type")} == TABLES
    assert set().union(*named.values()) == COLUMNS
    assert {table_said(model) for model in named} == {str(model._meta.verbose_name) for model in named}
