"""One field for anything: slips, spacing, codes of countries, what a role may not see, how often a slip is found."""

from __future__ import annotations

import random
import re
from datetime import UTC, date, datetime

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from yard.models import Boat, BoatOwner, Item, Mooring, Order, Owner, Person, Place, YardSettings
from yard.queries.find_anything import Found, find_anything
from yard.queries.near_names import NameIndex, digits_of, folded, same_number, same_tag, tag_of

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
WORDS = re.compile(r"\w+")
FIRST = WORDS.findall(
    "Tern Plover Merlin Kestrel Osprey Heron Dunlin Petrel Curlew Wigeon Gannet Fulmar Sanderling Lapwing Avocet"
)
SECOND = WORDS.findall(
    "Marie Morning Evening Silver Northern Little Lady Quiet Spring Autumn Harbour Island Salt Summer Wild Grey"
)
LAST = WORDS.findall(
    "Star Light Wind Rose Song Breeze Spirit Dawn Wave Dancer Maid Glass Bell Feather Sound Ember Pearl Fern"
)
LETTERS = "abcdefghijklmnopqrstuvwxyz"


def fleet(count: int = 300) -> list[str]:
    """Made names, no two alike: some of one word, as boats have, most of two or three."""
    rng = random.Random(7)
    names = list(FIRST)
    while len(names) < count:
        parts = [rng.choice(SECOND), rng.choice(LAST)] if rng.random() < 0.6 else [rng.choice(FIRST), rng.choice(LAST)]
        if (name := " ".join(parts)) not in names:
            names.append(name)
    return names


def slip(name: str, rng: random.Random) -> str:
    """One slip of the finger: a letter left out, doubled, wrong, or swapped with the next."""
    letters = list(name.lower())
    at = rng.choice([number for number, letter in enumerate(letters) if letter != " "])
    match rng.randrange(4):
        case 0:
            letters[at] = ""
        case 1:
            letters[at] *= 2
        case 2:
            letters[at] = rng.choice(LETTERS)
        case _ if at + 1 < len(letters) and letters[at + 1] != " ":
            letters[at], letters[at + 1] = letters[at + 1], letters[at]
    return "".join(letters)


def test_a_name_with_one_slip_is_found_first_among_300():
    """Measured: 599 of 600 for these names ("merlin dan" is nearer to Merlin Dancer than to Merlin Dawn)."""
    names, rng = fleet(), random.Random(11)
    index = NameIndex.of(names)
    first = 0
    for name in names * 2:
        scores = index.like(slip(name, rng))
        best = max(range(len(names)), key=lambda number: (scores[number], -number))
        first += names[best] == name
    assert first / 600 >= 0.97


@settings(max_examples=60, deadline=None)
@given(name=st.sampled_from(fleet()), typed=st.sampled_from(["upper", "accent", "spaces", "begun"]))
def test_a_name_in_other_letters_is_the_name(name, typed):
    names = fleet()
    asked = {
        "upper": name.upper(),
        "accent": name.replace("a", "á").replace("e", "è"),
        "spaces": f"  {name.replace(' ', '   ')} ",
        "begun": name,
    }[typed]
    scores = NameIndex.of(names).like(asked)
    assert names[scores.index(max(scores))] == name
    assert max(scores) == pytest.approx(1.0)


@settings(max_examples=200, deadline=None)
@given(asked=st.text(max_size=30))
def test_whatever_is_typed_scores_between_nothing_and_one(asked):
    scores = NameIndex.of(["Tern", "Silver Star", ""]).like(asked)
    assert all(0 <= score <= 1.0001 for score in scores)
    assert scores[2] == 0 or not folded(asked)


@pytest.mark.parametrize(
    ("asked", "stored", "found"),
    [
        ("207 555 0142", "207-555-0142", True),
        ("+1 (207) 555-0142", "207 555 0142", True),
        ("555 0142", "+1 207 555 0142", True),
        ("07700 900123", "+44 7700 900123", True),
        ("0044 7700 900123", "+44 (0)7700 900 123", True),
        ("207 555 0124", "207 555 0142", True),  # two digits swapped
        ("207 555 9999", "207 555 0142", False),
        ("0142", "207 555 0142", True),
        ("142", "142", False),  # too few for a telephone
    ],
)
def test_a_number_is_a_number_however_it_is_spaced(asked, stored, found):
    """Numbers of the ranges set aside for stories: 555-01xx (NANPA) and 07700 900xxx (Ofcom)."""
    assert (same_number(digits_of(asked), digits_of(stored)) > 0) is found


@pytest.mark.parametrize(
    ("asked", "stored", "found"),
    [("s012", "S-012", True), ("S 0 1 2", "S-012", True), ("S-021", "S-012", True), ("S-3", "S-012", False)],
)
def test_a_tag_is_a_tag_however_it_is_written(asked, stored, found):
    assert (same_tag(tag_of(asked), tag_of(stored)) > 0.7) is found


@pytest.fixture
def creek(cast) -> Boat:
    YardSettings.objects.create(name="Creek", time_zone="UTC", clock_frozen_at=NOW)
    plover = Boat.objects.create(ref="plover", name="Plover", length_m=8, beam_m=2.5, sail_number="US 114")
    hale = Owner.objects.create(name="Ruth Hale", phone="207 555 0142")
    BoatOwner.objects.create(boat=plover, owner=hale, starts_on=date(2020, 1, 1), told_first=True)
    Mooring.objects.create(ref="M-17", permit_boat=plover)
    Item.objects.create(boat=plover, kind="sail", name="genoa", bag_tag="S-012")
    Order.objects.create(
        ref="27-014", name="Torn sail", walk_in_name="Amos Quill", walk_in_phone="555 0166", made_at=NOW
    )
    Person.objects.create(name="Nell Frost", short_name="Nell", phone="555 0101")
    Place.objects.create(ref="ramp", name="The ramp", kind="ramp")
    return plover


def best(asked: str, *, owners: bool = True) -> tuple[str, str] | None:
    hits = find_anything(asked, with_owners=owners, with_phones_of_people=owners).hits
    return (hits[0].entry.kind, hits[0].entry.title) if hits else None


@pytest.mark.parametrize(
    ("asked", "kind", "title"),
    [
        ("plovr", Found.BOAT, "Plover"),
        ("US114", Found.BOAT, "Plover"),
        ("ruth hlae", Found.OWNER, "Ruth Hale"),
        ("+1 207 5550142", Found.OWNER, "Ruth Hale"),
        ("m17", Found.MOORING, "Mooring M-17"),
        ("mooring m-17", Found.MOORING, "Mooring M-17"),
        ("s012", Found.THING, "genoa"),
        ("plover genoa", Found.THING, "genoa"),
        ("27-014", Found.ORDER, "Order 27-014"),
        ("amos", Found.ORDER, "Order 27-014"),
        ("5550166", Found.ORDER, "Order 27-014"),
        ("nel frost", Found.PERSON, "Nell Frost"),
        ("ramp", Found.PLACE, "The ramp"),
    ],
)
def test_each_kind_is_found(creek, asked, kind, title):
    assert best(asked) == (kind, title)


@pytest.mark.parametrize("asked", ["ruth hale", "207 555 0142", "amos quill", "555 0166", "555 0101"])
def test_no_owner_and_no_number_is_told_to_who_may_not_see_owners(creek, cast, asked):
    assert best(asked) is not None
    for account in (cast.ben, cast.dee):
        client = Client()
        client.force_login(account, "yard.web.access.RoleBackend")
        page = client.get(reverse("find"), {"q": asked}).content.decode()
        assert "Nothing is like" in page
        found = client.get(reverse("find"), {"q": "27-014"}).content.decode()
        assert "Amos" not in found
        assert "0166" not in found


def test_one_tap_calls_and_another_texts(creek, cast):
    client = Client()
    client.force_login(cast.cy, "yard.web.access.RoleBackend")
    page = client.get(reverse("find"), {"q": "hale"}).content.decode()
    assert 'href="tel:2075550142"' in page
    assert 'href="sms:2075550142"' in page
    assert reverse("owner", args=[Owner.objects.get(name="Ruth Hale").pk]) in page


def test_every_page_has_the_field_and_slash_goes_there(creek, cast):
    client = Client()
    client.force_login(cast.dee, "yard.web.access.RoleBackend")
    page = client.get(reverse("boats")).content.decode()
    assert page.index('id="find-all"') < page.index('id="id_find"')
    part = client.get(reverse("find"), {"q": "plover"}, headers={"HX-Request": "true"}).content.decode()
    assert part.startswith('<div id="found"')


def test_empty_and_very_many(creek, cast, django_assert_max_num_queries):
    Boat.objects.bulk_create(Boat(ref=f"b{n}", name=f"Wren {n}", length_m=8, beam_m=2) for n in range(300))
    client = Client()
    client.force_login(cast.cy, "yard.web.access.RoleBackend")
    assert client.get(reverse("find")).status_code == 200
    with django_assert_max_num_queries(14):
        page = client.get(reverse("find"), {"q": "wren"}).content.decode()
    assert "40 found, and 260 more that fit less" in page
    assert client.get(reverse("find"), {"q": "\x00" + "x" * 5000}).status_code == 200
