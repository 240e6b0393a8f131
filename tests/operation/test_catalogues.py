"""A yard's language: its catalogues made ready at the start, what is refused of them, and American days and hours."""

from __future__ import annotations

import json
import re
from datetime import date, datetime, time
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.template import Context, Template
from django.test import Client, override_settings
from django.utils import translation

from yard import catalogues, day_names
from yard.pictures.lettering import clock, weekday_day_month

ROOT = Path(__file__).resolve().parents[2]
SHIPPED = ROOT / "yard" / "locale"
HEAD = 'msgid ""\nmsgstr "Content-Type: text/plain; charset=UTF-8\\nPlural-Forms: nplurals=2; plural=(n != 1);\\n"\n\n'
THURSDAY = datetime(2027, 5, 6, 6, 0)
# What the machine reads of days and hours: in addresses, fields and headings of code.
MACHINES = {"Y-m-d", "Y-m", "Y", "n", "c"}


def written(folder: Path, entries: str, domain: str = "django") -> Path:
    """A yard's own folder of catalogues with one in German."""
    path = folder / "locale" / "de" / "LC_MESSAGES" / f"{domain}.po"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(HEAD + entries, encoding="utf-8")
    return folder / "locale"


def ready(folder: Path, language: str, *sources: Path) -> override_settings:
    return override_settings(LOCALE_PATHS=catalogues.made_ready(language, sources, into=folder / "made"))


def test_american_days_and_hours(tmp_path):
    with ready(tmp_path, "en-us", tmp_path / "none", SHIPPED), translation.override("en-us"):
        assert weekday_day_month(THURSDAY.date()) == "Thu, May 6"
        assert clock(6 * 60) == "6:00 AM"
        assert day_names.said(THURSDAY, "l j F Y") == "Thursday, May 6, 2027"
        shown = Template('{{ at|date:"D j M Y, H:i" }} {{ at|date:"Y-m-d" }} {{ at|time:"H:i" }}')
        assert shown.render(Context({"at": THURSDAY})) == "Thu, May 6, 2027, 6:00 AM 2027-05-06 06:00"


def test_german_days_come_without_a_catalogue_of_ours():
    with translation.override("de"):
        assert day_names.said(date(2027, 3, 11), "l j F") == "Donnerstag 11 März"
        assert day_names.weekday_said(3) == "Do"


def test_every_form_of_a_day_in_the_templates_is_one_that_a_language_may_change():
    used = {
        (form, path.name)
        for path in (ROOT / "templates").rglob("*.html")
        for form in re.findall(r"\|date:[\"']([^\"']*)[\"']", path.read_text(encoding="utf-8"))
    }
    assert {(form, name) for form, name in used if form not in day_names.FORMS and form not in MACHINES} == set()
    assert len(used) > 100


@pytest.mark.parametrize("form", day_names.FORMS)
@pytest.mark.parametrize("at", [datetime(2027, 1, 3, 0, 5), datetime(2027, 11, 30, 13, 59)])
def test_a_form_says_in_english_what_djangos_own_filter_says(form, at):
    """The letters are Django's (its reference of template filters, `date`)."""
    from django.utils.dateformat import format as formatted

    assert day_names.said(at, form) == formatted(at, form)


def test_letters_behind_a_backslash_stay_and_an_hour_needs_no_day():
    assert day_names.put(THURSDAY, r"j \d\e F, a") == "6 de May, a.m."
    assert day_names.put(time(13, 5), "g:i A") == "1:05 PM"


def test_the_yards_own_catalogue_goes_before_the_shipped_one_and_is_made_anew_when_it_changes(tmp_path):
    shipped = written(tmp_path / "shipped", 'msgid "Boats"\nmsgstr "Kähne"\nmsgid "Crew"\nmsgstr "Leute"\n')
    own = written(tmp_path, 'msgid "Boats"\nmsgstr "Boote"\n')
    with ready(tmp_path, "de", own, shipped), translation.override("de"):
        assert [translation.gettext(each) for each in ("Boats", "Crew")] == ["Boote", "Leute"]
    written(tmp_path, 'msgid "Boats"\nmsgstr "Schiffe"\n')
    made = catalogues.made_ready("de", [own], into=tmp_path / "made")
    assert b"Schiffe" in next(made[0].rglob("django.mo")).read_bytes()


def test_a_catalogue_that_has_not_changed_is_not_read_again(tmp_path, monkeypatch):
    own = written(tmp_path, 'msgid "Boats"\nmsgstr "Boote"\n')
    made = catalogues.made_ready("de", [own], into=tmp_path / "made")
    monkeypatch.setattr(catalogues, "_read", lambda source: pytest.fail("read again"))
    assert catalogues.made_ready("de", [own], into=tmp_path / "made") == made


def test_english_needs_none(tmp_path):
    assert catalogues.made_ready("en", [tmp_path, SHIPPED], into=tmp_path / "made") == []
    assert not (tmp_path / "made").exists()


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ('msgid "{boat} waits."\nmsgstr "{boot} wartet."\n', "boot is none of boat"),
        ('msgid "{boat} waits."\nmsgstr "{boat wartet."\n', "a single brace"),
        ('msgid "%(n)s boats"\nmsgstr "%(m)s Boote"\n', "m is none of n"),
        ('msgid "%(n)s boats"\nmsgstr "%(n)s Boote, 5 %"\n', "a single %"),
        ('msgid "{n} boat"\nmsgid_plural "{n} boats"\nmsgstr[0] "ein Boot"\nmsgstr[1] "{m} Boote"\n', "m is none of n"),
        ('mgid "Boats"\nmsgstr "Boote"\n', "cannot be read as a catalogue"),
    ],
)
def test_what_would_fail_on_a_page_is_refused_at_the_start(tmp_path, entry, said):
    own = written(tmp_path, entry)
    with pytest.raises(ImproperlyConfigured, match=said) as refused:
        catalogues.made_ready("de", [own], into=tmp_path / "made")
    assert "django.po" in str(refused.value)
    assert not list((tmp_path / "made").rglob("*.mo"))


def test_a_plural_may_leave_its_number_out(tmp_path):
    own = written(tmp_path, 'msgid "{n} boat"\nmsgid_plural "{n} boats"\nmsgstr[0] "ein Boot"\nmsgstr[1] "{n} Boote"\n')
    with ready(tmp_path, "de", own), translation.override("de"):
        assert [translation.ngettext("{n} boat", "{n} boats", n).format(n=n) for n in (1, 2)] == ["ein Boot", "2 Boote"]


def test_scripts_have_their_words_for_whoever_asks(tmp_path):
    own = written(tmp_path, 'msgid "no signal"\nmsgstr "kein Empfang"\n', "djangojs")
    with ready(tmp_path, "de", own), translation.override("de"):
        answer = Client().get("/words.js")
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert answer.headers["Cache-Control"] == "public, max-age=3600"
    assert not answer.cookies
    assert json.dumps("kein Empfang") in answer.content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("language", "head", "words"),
    [
        ("en", '<html lang="en">', False),
        ("en-us", '<html lang="en-us">', True),
        ("de", '<html lang="de">', True),
        ("ar", '<html lang="ar" dir="rtl">', True),
    ],
)
def test_a_page_says_its_language_and_brings_the_words_before_the_scripts_that_use_them(client, language, head, words):
    with override_settings(LANGUAGE_CODE=language):
        page = client.get("/sign-in/").content.decode()
    assert head in page
    assert re.findall(r'<script src="/(?:static/yard/)?(\w+)\.js', page) == (["words"] if words else []) + ["yard"]


def test_what_is_shipped_for_america_is_said_by_the_source():
    """A form that was renamed would fall back to English without a word."""
    import polib

    shipped = polib.pofile(str(SHIPPED / "en_US" / "LC_MESSAGES" / "django.po"))
    forms = {entry.msgid for entry in shipped if entry.msgctxt == "date format"}
    assert len(shipped) == len(forms)
    assert forms <= set(day_names.FORMS)
    assert {form for form in day_names.FORMS if ("j" in form and "M" in form) or "H:i" in form} <= forms
