"""The crew, one person and who is free, on a plan and hours reckoned by hand. It is Thursday 6 May 2027, 10:00."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from django.urls import reverse

from tests.web.made_creek import (
    FRIDAY,
    MONDAY,
    NOW,
    THURSDAY,
    at,
    job,
    launch,
    person,
    post,
    text_of,
)
from yard.models import DatedHours, Job, JobWork, Person, PersonSkill, Skill, YardHoliday
from yard.pictures.shapes import Span
from yard.web.days.hours import joined, without

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("creek")]


def page_of(client, name: str, *args) -> str:
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200
    return text_of(answer)


def free_on(client, day: date = THURSDAY) -> str:
    return page_of(client, "day_free", day.isoformat())


# the list


def test_the_list_says_what_each_can_do_is_planned_for_and_does_next(dee):
    """Thursday and Friday are 16 h. A job of 2 h today and bench work from Friday 14:00 to Monday 09:00, of which
    Friday 14:00 to 16:00 falls in this week: 4 h, 25 %."""
    cal, plan = person("Cal"), post()
    for key, name, level in (("rig", "Rigging", 3), ("sail", "Sails", 2)):
        PersonSkill.objects.create(person=cal, skill=Skill.objects.create(key=f"t-{key}", name=name), level=level)
    job(plan, "Dunlin", "Tune", THURSDAY, "13:00", "15:00", cal)
    job(plan, "Dunlin", "Sew", FRIDAY, "14:00", "09:00", cal, until=MONDAY, pausing="paused")
    DatedHours.objects.create(
        person=cal, kind="away", starts_at=at(MONDAY, "00:00"), ends_at=at(date(2027, 5, 12), "00:00"), reason="dentist"
    )
    page = page_of(dee, "crew")
    assert "leads it: rigging; does it: sails" in page
    assert "4 h of 16 h, 25 %" in page
    assert "Dunlin, Tune, today 13:00" in page
    assert "Mon 10 May to Tue 11 May" in page
    assert "dentist" not in page  # why somebody is away is nobody's matter


def test_the_list_says_who_is_at_a_job_now_who_is_free_and_who_is_not_here(dee):
    plan = post()
    job(plan, "Dunlin", "Tune", THURSDAY, "09:00", "11:00", person("Cal"))
    person("Ines")
    person("Juno", starts="12:00")
    page = page_of(dee, "crew")
    assert "Cal Dunlin, Tune none in eight weeks" in page
    assert "Ines free none in eight weeks" in page
    assert "Juno not here none in eight weeks" in page


def test_the_list_sorts_by_load_and_by_next_job(dee):
    plan = post()
    cal, ines = person("Cal"), person("Ines")
    job(plan, "Dunlin", "Tune", FRIDAY, "08:00", "12:00", ines)
    job(plan, "Knot", "Tune", MONDAY, "08:00", "12:00", cal)
    for sort, first in (("-load", "Ines"), ("load", "Cal"), ("next_job", "Ines"), ("-name", "Ines"), ("name", "Cal")):
        page = text_of(dee.get(reverse("crew"), {"sort": sort})).partition("Skills")[2]
        assert (page.index("Ines") < page.index("Cal")) == (first == "Ines"), sort


def test_an_empty_yard_and_one_without_a_plan_say_so(dee):
    assert "Nobody is entered yet." in page_of(dee, "crew")
    cal = person("Cal")
    assert "No plan is posted yet" in page_of(dee, "crew")
    assert "No plan is posted yet." in page_of(dee, "person", cal.pk)
    assert "no plan is posted yet" in free_on(dee)


def test_the_tab_is_there_for_all_who_see_the_plan(dee):
    assert '<a href="/crew/" aria-current="page">Crew</a>' in dee.get("/crew/").content.decode()


# one person


def test_a_person_reads_the_days_with_boat_place_people_and_water(dee):
    plan, cal, ines = post(), person("Cal"), person("Ines")
    launch(plan, "Sanderling", MONDAY, "10:30", cal, ines)
    page = page_of(dee, "person", cal.pk)
    assert "No job now. Next: Sanderling, Launch, Mon 10 May 10:30 ." in page
    assert "10:30 to 12:00 Sanderling Launch with Ines" in page
    assert re.search(r"Water 10:00 to 14:00, needs 2\.[23] m\. Nobody between boat and trailer\.", page)  # 2.25 m
    assert "Thu 6 May today 08:00 to 16:00 (8 h): no job" in page
    assert "Sat 8 May not at work" in page
    assert "Mon 3 May 0 h of 16 h 0 %" in page  # from today on: Thursday and Friday
    assert "Mon 10 May 1 h 30 of 40 h 4 %" in page  # 90 of 2400 minutes are 3.75 %


def test_hours_exceptions_holidays_and_slides_are_said_without_their_reason(dee):
    post()
    cal = person("Cal")
    Person.objects.filter(pk=cal.pk).update(
        early_slide_min=150, slides_per_week=2, overtime_min_per_week=240, phone="609-555-0187", notes="bad knee"
    )
    YardHoliday.objects.create(day=MONDAY, name="Founders")
    DatedHours.objects.create(
        person=cal, kind="away", starts_at=at(FRIDAY, "08:00"), ends_at=at(FRIDAY, "12:00"), reason="dentist"
    )
    page = page_of(dee, "person", cal.pk)
    assert "Monday 08:00 to 16:00" in page
    assert "For a tide a day may start up to 2 h 30 early, 2 times a week at most." in page
    assert "Overtime: up to 4 h a week." in page
    assert "Fri 7 May 08:00 to 12:00: away" in page
    assert "Mon 10 May: Founders, yard holiday" in page
    assert "Mon 10 May Founders" in page
    assert "Fri 7 May 12:00 to 16:00 (4 h), away part of the day: no job" in page
    assert not any(word in page for word in ("dentist", "609-555", "bad knee"))


def test_a_day_that_slides_and_work_over_several_days_are_said(dee):
    plan, cal = post(), person("Cal")
    launch(plan, "Sanderling", MONDAY, "06:30", cal)
    job(plan, "Dunlin", "Sew", THURSDAY, "14:00", "09:00", cal, until=date(2027, 5, 8), pausing="paused")
    page = page_of(dee, "person", cal.pk)
    assert "(8 h), the day slides: work outside of the usual hours" in page
    for words in ("from 14:00 Dunlin Sew alone", "all day Dunlin", "until 09:00 Dunlin"):
        assert words in page


def test_days_gone_by_say_what_was_done(dee):
    """A plan tells what is to come; what was done is as reported."""
    plan, cal = post(), person("Cal")
    row = job(plan, "Dunlin", "Tune", MONDAY, "09:00", "11:00")
    JobWork.objects.create(job=row.job, person=cal, worked_on=date(2027, 5, 4), worked_min=90)
    page = page_of(dee, "person", cal.pk)
    assert "Tue 4 May 08:00 to 16:00 (8 h) done Dunlin, Tune, 1 h 30 Wed 5 May" in page


def test_a_contractor_is_called_one(dee):
    rui = Person.objects.create(short_name="Rui", name="Rui", contractor=True, usual_slip_days=3)
    DatedHours.objects.create(person=rui, kind="here", starts_at=at(MONDAY, "08:00"), ends_at=at(MONDAY, "16:00"))
    page = page_of(dee, "person", rui.pk)
    assert "comes on agreed dates. Usual slip: 3 days." in page
    assert "Mon 10 May 08:00 to 16:00: here as well" in page
    assert "No weekly hours." in page


def test_somebody_who_left_has_a_page_that_says_so_and_nobody_has_none(dee):
    gone = person("Gus")
    assert "has left" not in page_of(dee, "person", gone.pk)
    Person.objects.filter(pk=gone.pk).update(archived=True)
    assert "Gus has left the yard" in page_of(dee, "person", gone.pk)


def test_the_day_on_which_somebody_left_stands_on_their_page(dee):
    gus = person("Gus")
    gus.archived = True
    gus._history_date = at(THURSDAY, "16:00")
    gus.save()
    gus.phone, gus._history_date = "609-555-0190", at(MONDAY, "09:00")
    gus.save()
    assert "Gus left the yard on Thu 6 May 2027 and is planned for nothing" in page_of(dee, "person", gus.pk)
    assert "Gus" not in page_of(dee, "crew")
    assert dee.get(reverse("person", args=[10**9])).status_code == 404


# who is free


def test_who_is_free_now_and_this_afternoon(dee):
    """Cal is at a job until 11:00 and free from then; Ines is free until her job at 13:00 and after it, at 15:30,
    for the last half hour; Juno comes at noon and has a job all afternoon."""
    plan, cal, ines, juno = post(), person("Cal"), person("Ines"), person("Juno", starts="12:00")
    job(plan, "Dunlin", "Tune", THURSDAY, "09:00", "11:00", cal)
    job(plan, "Knot", "Tune", THURSDAY, "13:00", "15:30", ines)
    job(plan, "Tern", "Sew", THURSDAY, "12:00", "16:00", juno)
    page = free_on(dee)
    assert "Free now: Ines From plan 7" in page
    assert "Cal until 11:00: Dunlin, Tune" in page
    afternoon = page.partition("This afternoon")[2].partition("Day by day")[0]
    assert "Cal 12:00 to 16:00" in afternoon
    assert "Ines 12:00 to 13:00, 15:30 to 16:00" in afternoon
    assert "Juno" not in afternoon
    days = page.partition("Day by day")[2]
    assert "Cal 11:00 to 16:00 all day, 8 h – – all day, 8 h" in days  # today from the end of the job on
    assert "Juno none all day, 4 h" in days


def test_a_finished_job_frees_its_people(dee):
    plan, cal = post(), person("Cal")
    row = job(plan, "Dunlin", "Tune", THURSDAY, "09:00", "11:00", cal)
    assert "Nobody is free now" in free_on(dee)
    Job.objects.filter(pk=row.job_id).update(state="done", actual_ends_at=NOW)
    assert "Free now: Cal" in free_on(dee)


def test_hours_that_have_gone_by_are_not_free(dee):
    """All of yesterday has gone by; of today two hours have, and nothing of tomorrow."""
    person("Cal")
    post()
    assert "Cal 10:00 to 16:00" in free_on(dee).partition("Day by day")[2]
    yesterday = free_on(dee, THURSDAY - timedelta(days=1))
    assert "Who is free on Wednesday 5 May" in yesterday
    assert "Cal none 10:00 to 16:00 all day, 8 h" in yesterday


def test_away_and_a_holiday_are_not_free(dee):
    cal = person("Cal")
    post()
    YardHoliday.objects.create(day=FRIDAY, name="Founders")
    DatedHours.objects.create(
        person=cal, kind="away", starts_at=at(MONDAY, "00:00"), ends_at=at(MONDAY + timedelta(days=1), "00:00")
    )
    assert "Founders – – away all day, 8 h" in free_on(dee).partition("Day by day")[2]


def test_the_question_is_two_taps_from_anywhere(dee):
    """Days, then Who is free; or Crew, then Who is free."""
    for name in ("day", "crew"):
        page = dee.get(reverse(name, args=["2027-05-06"] if name == "day" else [])).content.decode()
        assert '<a class="btn main" href="/days/2027-05-06/free/">Who is free</a>' in page
    assert dee.get("/days/2027-13-01/free/").status_code == 404


# the reckoning


def test_gaps_of_a_day():
    assert joined([Span(60, 120), Span(100, 180), Span(300, 300)]) == [Span(60, 180)]
    assert without([Span(-60, 90), Span(1400, 1500)], [Span(30, 60)]) == [Span(0, 30), Span(60, 90), Span(1400, 1440)]


@pytest.mark.parametrize(("name", "queries"), [("crew", 15), ("person", 18), ("day_free", 13)])
def test_pages_ask_as_often_for_many_people_and_jobs(dee, django_assert_num_queries, name, queries):
    plan, cal = post(), person("Cal")
    arguments = {"person": [cal.pk], "day_free": ["2027-05-06"]}.get(name, [])
    for count in (1, 9):
        for number in range(count):
            helper = person(f"P{count}{number}")
            launch(plan, f"Boat{count}{number}", MONDAY + timedelta(days=number % 4), "10:30", cal, helper)
        with django_assert_num_queries(queries):
            dee.get(reverse(name, args=arguments))
