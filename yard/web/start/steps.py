"""What a first plan needs, in the easiest order: what is there of each, and where it is entered."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.queries.first_steps import FirstSteps


@dataclass(frozen=True, slots=True)
class Step:
    """brings: what a press of its button brings in, "" where there is none; links: (words, address)."""

    title: str
    done: bool
    told: str
    about: str
    links: tuple[tuple[str, str], ...] = ()
    brings: str = ""
    press: str = ""


def steps_of(there: FirstSteps) -> tuple[Step, ...]:
    """Eight, none of which must be done before the others but the plan itself."""
    return (
        Step(
            _("The work that you do"),
            there.packages > 0,
            ngettext("{n} package", "{n} packages", there.packages).format(n=there.packages),
            _(
                "Spring commissioning, lay-up, canvas, sails, rigs: jobs with hours, people, waits and cautions, mostly"
                " common practice. Each is changed on its page; hours are learnt from your own finished jobs."
            ),
            ((_("Packages"), reverse("packages")),),
            "packages",
            _("Bring in the usual packages"),
        ),
        Step(
            _("The places"),
            there.places > 0,
            ngettext("{n} place", "{n} places", there.places).format(n=there.places),
            _(
                "Ramp, trailer, workboat, berths, wash deck, drying lines, loft floor: their numbers and limits are"
                " yours."
            ),
            ((_("Places"), reverse("places")), (_("A sheet of places"), reverse("list_import", args=["places"]))),
            "places",
            _("Bring in the usual places"),
        ),
        Step(
            _("The hours"),
            there.hours > 0,
            ngettext("{n} stretch a week", "{n} stretches a week", there.hours).format(n=there.hours),
            _("When the yard is open; holidays stand beside them."),
            ((_("Settings"), reverse("yard_settings")),),
        ),
        Step(
            _("The people"),
            there.working > 0,
            ngettext(
                "{n} person, {working} with a skill and hours",
                "{n} people, {working} with a skill and hours",
                there.people,
            ).format(n=there.people, working=there.working),
            _("Nobody is planned without skills and hours. A name, three presses and a week are enough."),
            (
                (_("Add a person"), reverse("person_new")),
                (_("A sheet of people"), reverse("list_import", args=["people"])),
            ),
        ),
        Step(
            _("The boats"),
            there.boats > 0,
            ngettext("{n} boat", "{n} boats", there.boats).format(n=there.boats),
            _("Your own spreadsheet will do: columns are matched, every row is shown before it is saved."),
            ((_("Bring in a sheet"), reverse("list_import", args=["boats"])), (_("Add one boat"), reverse("boat_new"))),
        ),
        Step(
            _("The moorings"),
            there.moorings > 0,
            ngettext("{n} mooring", "{n} moorings", there.moorings).format(n=there.moorings),
            _(
                "Where boats are delivered to. One whose mooring nobody knows stays at a berth once she floats, and"
                " berths are few: a sheet with each mooring's number and its boat is enough."
            ),
            (
                (_("A sheet of moorings"), reverse("list_import", args=["moorings"])),
                (_("Add a mooring"), reverse("mooring_new")),
            ),
        ),
        Step(
            _("What is ordered"),
            there.orders > 0,
            ngettext("{n} open order", "{n} open orders", there.orders).format(n=there.orders),
            _("A boat, a package, the day it is wanted by."),
            ((_("New order"), reverse("order_new")), (_("A sheet of orders"), reverse("list_import", args=["orders"]))),
        ),
        Step(
            _("The plan"),
            there.planned,
            _("made") if there.planned else _("none yet"),
            _(
                "Press Plan the season on the season's page: people, places and hours for every job, checked by rules"
                " that share no code with the planner. You post it, or not."
            ),
            ((_("The season"), reverse("season")),),
        ),
    )
