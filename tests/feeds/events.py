"""Events to write: one that stands for all, and random ones."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

from hypothesis import strategies as st

from yard.feeds.event import Days, FeedEvent, FeedHead, Geo, Hours, Revision, Shown
from yard.feeds.text import clean
from yard.feeds.wording import title

ZONE = "America/New_York"
MADE = datetime(2027, 3, 1, 9, tzinfo=UTC)
REVISED = datetime(2027, 5, 5, 16, 30, tzinfo=UTC)
HEAD = FeedHead(name="Arne: jobs", zone=ZONE)
FLOAT_OFF = Shown(
    summary="Float off Wagtail",
    when=Hours(datetime(2027, 5, 6, 14, 15, tzinfo=UTC), datetime(2027, 5, 6, 14, 45, tzinfo=UTC)),
    location="Ramp",
    people=("Cal", "Wren"),
    notes=("Water 09:50 to 12:40, needs 9.8 ft above MLLW.",),
    categories=("launch",),
    geo=Geo(43.656, -70.246),
    url="https://yard.example.org/days/2027-05-06/",
)


def event(number: int = 1, shown: Shown = FLOAT_OFF, **revision: Any) -> FeedEvent:
    facts = {"sequence": 2, "made_at": MADE, "revised_at": REVISED} | revision
    return FeedEvent(UUID(int=number, version=4), shown, Revision(**facts))


def called(summary: str, **other: Any) -> Shown:
    return replace(FLOAT_OFF, summary=summary, **other)


def expected(events: list[FeedEvent]) -> set[tuple[Any, ...]]:
    """(uid, start, end, summary) as the events hold them."""
    found = set()
    for each in events:
        match each.shown.when:
            case Hours(starts_at=starts, ends_at=ends):
                found.add((str(each.uid), starts, ends, title(each)))
            case Days(first=first, until=until):
                found.add((str(each.uid), first, until, title(each)))
    return found


odd_letters = st.text(
    st.one_of(
        st.characters(exclude_categories=["Cs"]),
        st.sampled_from('\\;,:"\n\r\t\ufeff\u2028\x00\x85é€⛵🚤👩‍🔧'),
    ),
    max_size=60,
)
names = odd_letters.filter(lambda text: bool(clean(text)))
AROUND = (
    datetime(2027, 3, 14, 5, tzinfo=UTC),  # 00:00 in New York; at 02:00 the clock goes to 03:00
    datetime(2027, 11, 7, 4, tzinfo=UTC),  # 00:00 in New York; 01:00 to 02:00 comes twice
    datetime(2028, 2, 29, 0, tzinfo=UTC),  # a leap day
    datetime(2027, 12, 31, 20, tzinfo=UTC),
    datetime(2027, 5, 6, 12, tzinfo=UTC),
)
minutes = st.integers(0, 12 * 60).map(lambda count: timedelta(minutes=count))
hours = st.builds(
    lambda at, after, lasts: Hours(at + after, at + after + lasts + timedelta(minutes=1)),
    st.sampled_from(AROUND),
    minutes,
    minutes,
)
days = st.builds(
    lambda first, count: Days(first, first + timedelta(days=count)),
    st.dates(date(2027, 1, 1), date(2028, 12, 31)) | st.just(date(2028, 2, 29)),
    st.integers(1, 5),
)
shown_events = st.builds(
    Shown,
    summary=names | st.just("⛵é," * 75),
    when=hours | days,
    location=odd_letters,
    people=st.lists(names, max_size=4).map(tuple),
    notes=st.lists(odd_letters | st.just("👩‍🔧; \\" * 50), max_size=3).map(tuple),
    categories=st.lists(names, max_size=3).map(tuple),
    geo=st.none() | st.builds(Geo, st.floats(-90, 90), st.floats(-180, 180)),
    url=st.sampled_from(["", "https://yard.example.org/days/2027-05-06/?a=1,2;3"]),
    firm=st.booleans(),
    busy=st.booleans(),
)


@st.composite
def event_lists(draw: Any, most: int = 6) -> list[FeedEvent]:
    contents = draw(st.lists(shown_events, min_size=1, max_size=most))
    return [
        FeedEvent(
            UUID(int=number, version=4),
            shown,
            Revision(
                sequence=draw(st.integers(0, 99)),
                made_at=MADE,
                revised_at=REVISED,
                cancelled=draw(st.booleans()),
                changed=tuple(draw(st.lists(odd_letters, max_size=2))),
            ),
        )
        for number, shown in enumerate(contents, start=1)
    ]
