"""A row of every kind that has a page, in one made yard, and the address of each page with a form."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from uuid import UUID

from django.urls import reverse

from tests.services.ordering import ordered
from tests.web.made_creek import FRIDAY, NOW, THURSDAY, at, job, launch, make_creek, person, post
from yard.models import (
    Boat,
    BoatOwner,
    CanvasOption,
    CanvasPanel,
    CanvasPiece,
    DatedHours,
    Gear,
    Interval,
    Item,
    JobKind,
    Material,
    Mooring,
    OptionSheet,
    Order,
    Owner,
    OwnersRun,
    Package,
    Place,
    PlanRun,
    ProductSheet,
    ProductWait,
    Proposal,
    RepairList,
    RunWish,
    SaleToCome,
    Season,
    SheetChoice,
    SheetOption,
    Stock,
    Storm,
    Supplier,
    TacklePart,
    YearEnd,
)
from yard.models.events import Event


def forms_yard(folder: Path, load_packages: Callable[[], None]) -> dict[str, str]:
    """The addresses by the names of their pages. `load_packages` brings in the packages as they are shipped."""
    make_creek(folder)
    load_packages()
    wren = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)
    addresses = _of_facts(wren) | _of_orders(wren) | _of_canvas(wren) | _of_the_plan() | _of_the_new_boat(wren)
    addresses |= _of_runs(wren)
    alone = """walk_in orders_again when held_days package_new products product_new kinds kind_new boat_new person_new
        place_new thing_new owner_new share_new mooring_new repair_lists canvas_option_new material_new supplier_new
        sails due interval_new gear_new
        proposal_new season_new option_sheet_new forecast changed ways_back what_ifs storms phone_day accounts
        change_password confirm"""
    return {name: reverse(name) for name in alone.split()} | addresses


def _of_runs(wren: Boat) -> dict[str, str]:
    """A day with a run, a wish on it, and one that waits."""
    skiff = Place.objects.create(ref="skiff", name="Skiff", kind="workboat", seats=5, runs_min=240, charge_min=480)
    run = OwnersRun.objects.create(
        place=skiff, leaves_at=at(FRIDAY, "10:00"), back_at=at(FRIDAY, "10:30"), booked_at=NOW
    )
    said = {"boat": wren, "name": "Ann Hale", "from_at": at(FRIDAY, "10:00"), "until_at": at(FRIDAY, "12:00")}
    RunWish.objects.create(**said, state="booked", run=run, asked_at=NOW)
    waits = RunWish.objects.create(**said, people=2, asked_at=NOW)
    return {
        "runs_day": f"/runs/{FRIDAY}/",
        "run_wish": f"/runs/wishes/{waits.pk}/",
        "run_booked": f"/runs/{run.pk}/",
    }


def _of_facts(wren: Boat) -> dict[str, str]:
    ann = Owner.objects.create(ref="hale", name="Ann Hale", phone="401 555 0142")
    twin = Owner.objects.create(ref="hale-2", name="Anne Hale")
    share = BoatOwner.objects.create(boat=wren, owner=ann, starts_on=date(2027, 1, 1), told_first=True)
    mooring = Mooring.objects.create(ref="M-12", permit_boat=wren)
    part = TacklePart.objects.create(mooring=mooring, kind="anchor")
    item = Item.objects.create(boat=wren, kind="sail", name="Main", bag_tag="S-12")
    place = Place.objects.create(ref="apron", name="Apron", kind="apron")
    kind = JobKind.objects.get(key="launch")
    sling = Gear.objects.create(ref="sling", kind="sling", name="Sling", in_use_since=date(2025, 1, 1))
    often = Interval.objects.create(key="slings", name="Slings", covers="gear", kinds=["sling"], months=12)
    SaleToCome.objects.create(
        boat=wren, sold_on=date(2027, 6, 12), new_owner={"name": "Di Moss"}, made_at=NOW, why_not="She is archived."
    )
    return {
        "boat_change": f"/boats/{wren.pk}/change/",
        "boat_sell": f"/boats/{wren.pk}/sell/",
        "boat_past": f"/boats/{wren.pk}/past/",
        "owner_change": f"/owners/{ann.pk}/change/",
        "owner_merge": f"/owners/{ann.pk}/merge/?with={twin.pk}",
        "owner_data": f"/owners/{twin.pk}/data/",
        "share_change": f"/owners/boats/{share.pk}/",
        "mooring_change": f"/moorings/{mooring.pk}/change/",
        "tackle_new": f"/moorings/{mooring.pk}/tackle/",
        "tackle_change": f"/moorings/tackle/{part.pk}/",
        "thing_change": f"/things/{item.pk}/change/",
        "place_change": f"/places/{place.pk}/",
        "kind_change": f"/kinds/{kind.pk}/",
        "gear_change": f"/due/gear/{sling.pk}/",
        "interval_change": f"/due/intervals/{often.pk}/",
        "inspection_new": f"/due/{often.pk}/gear/{sling.pk}/",
        "thing": f"/things/{item.pk}/",
        "skills": "/crew/skills/",
        "fact_history": f"/history/boat/{wren.pk}/",
    }


def _of_orders(wren: Boat) -> dict[str, str]:
    order = ordered(wren, "spring_commissioning")
    sheet = ProductSheet.objects.create(kind="paint", name="Heron Red", source="invented", min_temp_c=10.0)
    ProductWait.objects.create(sheet=sheet, from_temp_c=10.0, min_wait_min=960)
    coat = order.jobs.get(key="first_coat")
    coat.links_after.filter(product_kind="paint").update(product_sheet=sheet)
    repairs = RepairList.objects.create(name="Main", boat=wren, made_at=NOW)
    repairs.lines.create(words="Restitch the leech", kind=JobKind.objects.all()[0], minutes=60)
    package = Package.objects.get(key="halyard")
    return {
        "order_change": f"/orders/{order.pk}/change/",
        "order_job_new": f"/orders/{order.pk}/jobs/new/",
        "order_job": f"/orders/{order.pk}/jobs/{coat.pk}/",
        "package_change": f"/packages/{package.pk}/change/",
        "package_job_new": f"/packages/{package.pk}/jobs/new/",
        "package_job": f"/packages/{package.pk}/jobs/halyard/",
        "package_part": f"/packages/{package.pk}/part/options/",
        "package_offers": f"/packages/{package.pk}/offers/",
        "product": f"/products/{sheet.pk}/",
        "product_change": f"/products/{sheet.pk}/change/",
        "repair_list_of_boat": f"/repairs/new/boat/{wren.pk}/",
        "repair_list_of_order": f"/repairs/new/order/{order.pk}/",
        "repair_list": f"/repairs/{repairs.pk}/",
    }


def _of_canvas(wren: Boat) -> dict[str, str]:
    supplier = Supplier.objects.create(name="Harbour Cloth", lead_days_usual=10, source="made for tests")
    cloth = Material.objects.create(name="navy", width_mm=1500, supplier=supplier, source="made for tests")
    stock = Stock.objects.create(material=cloth, label="roll 3", length_mm=9000)
    order = Order.objects.create(ref="27-0900", boat=wren, name="Canvas", made_at=NOW)
    piece = CanvasPiece.objects.create(order=order, kind="cover", name="cover")
    CanvasPanel.objects.create(piece=piece, name="top", length_mm=2000, width_mm=1400, material=cloth)
    option = CanvasOption.objects.create(key="window", name="Window")
    return {
        "canvas_piece_new": f"/orders/{order.pk}/canvas/new/",
        "canvas_panel_new": f"/canvas/{piece.pk}/panels/new/",
        "canvas_option_change": f"/canvas/options/{option.pk}/",
        "stock_new": f"/materials/{cloth.pk}/stock/",
        "stock_change": f"/stock/{stock.pk}/",
        "supplier_change": f"/suppliers/{supplier.pk}/",
    }


def _of_the_new_boat(wren: Boat) -> dict[str, str]:
    package = Package.objects.get(key="new_boat_delivery")
    sheet = OptionSheet.objects.create(key="creek-22", name="Creek 22", package=package, source="invented")
    option = SheetOption.objects.create(sheet=sheet, key="ladder", name="Ladder", price=90, source="invented")
    order = ordered(wren, "new_boat_delivery")
    SheetChoice.objects.create(sheet=sheet, order=order, options=["ladder"], price=90, made_at=NOW)
    return {
        "option_sheet": f"/new-boats/{sheet.pk}/",
        "option_sheet_change": f"/new-boats/{sheet.pk}/change/",
        "sheet_choose": f"/new-boats/{sheet.pk}/choose/",
        "sheet_option_new": f"/new-boats/{sheet.pk}/options/new/",
        "sheet_option_change": f"/new-boats/options/{option.pk}/",
        "sheet_choice": f"/orders/{order.pk}/sheet/",
    }


def _of_the_plan() -> dict[str, str]:
    plan = post()
    cal = person("Cal")
    job(plan, "Dunlin", "Tune", THURSDAY, "09:00", "11:00", cal)
    launch(plan, "Knot", FRIDAY, "12:30", cal)
    DatedHours.objects.create(person=cal, kind="away", starts_at=NOW, ends_at=NOW.replace(hour=20), reason="dentist")
    gale = Event.objects.create(kind="storm", says="gale", recorded_at=NOW)
    storm = Storm.objects.create(event=gale, name="Gale", comes_at=NOW.replace(day=8), made_at=NOW)
    proposal = Proposal.objects.create(based_on=plan, asked_at=NOW, state="failed")
    proposal.events.add(gale)
    run = PlanRun.objects.create(asked_at=NOW, state="failed", error="it was cut off")
    season = Season.objects.create(name="Spring 2028", starts_on=date(2028, 3, 1), ends_on=date(2028, 7, 1))
    before = Season.objects.create(name="Spring 2027", starts_on=date(2027, 3, 1), ends_on=date(2027, 7, 1))
    end = YearEnd.objects.create(season=before, into=season, form_key=UUID(int=1), state="done", asked_at=NOW)
    return {
        "plan": f"/plans/{plan.pk}/",
        "run": f"/plans/runs/{run.pk}/",
        "proposal": f"/proposals/{proposal.pk}/",
        "storm_list": f"/today/storms/{storm.pk}/",
        "day_close": f"/today/close/{THURSDAY}/",
        "season_kept_change": f"/seasons/{season.pk}/",
        "year_end": f"/seasons/ends/{end.pk}/",
        "spar_plan": "/store/plan/spars/",
        "letters_winter_ask": f"/letters/winter/{season.pk}/ask/",
    }
