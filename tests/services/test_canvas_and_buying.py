"""Canvas orders by service: progress settles facts, options change hours, take-offs are checked, cloth that comes
lets the order's cut begin."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest

from tests.services.canvas_yard import NOW, TODAY, CanvasYard, canvas_order, canvas_yard, panel
from yard.cutting.check import roll_faults, sheet_faults
from yard.cutting.values import CuttingRefused
from yard.models import (
    CanvasOption,
    CanvasPiece,
    CanvasProgress,
    Fact,
    FactKind,
    FactsRevision,
    JobWay,
    MaterialUsed,
    Purchase,
    StaleRow,
    Stock,
    TakeOff,
)
from yard.queries.buying import buying_list, waiting_to_be_cut
from yard.queries.canvas import earlier_pieces, in_work
from yard.services import buying, take_off
from yard.services.buying import BuyingRefused
from yard.services.canvas_options import bring_in_options
from yard.services.canvas_pieces import (
    CanvasRefused,
    copy_panels,
    say_stage,
    set_piece_options,
    take_back_stage,
    take_out_panel,
)

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo("America/New_York")


@pytest.fixture
def yard() -> CanvasYard:
    return canvas_yard()


@pytest.fixture
def ada(cast):
    return cast.ada


def taken_off(yard: CanvasYard, **more) -> TakeOff:
    panel(yard, **more)
    return take_off.make_take_off(yard.order, more.get("material", yard.cloth), by=None, now=NOW)


def bought(yard: CanvasYard, **more) -> Purchase:
    return buying.put_on_list(taken_off(yard, **more), by=None, now=NOW)


def test_a_stage_is_said_once_and_taken_back_it_stays_on_file(yard, ada):
    for _ in range(2):
        say_stage(yard.piece, "measured", by=ada, now=NOW)
    assert CanvasProgress.objects.count() == 1
    assert take_back_stage(yard.piece, "measured", by=ada, now=NOW)
    assert not take_back_stage(yard.piece, "measured", by=ada, now=NOW)
    say_stage(yard.piece, "measured", by=ada, now=NOW)
    assert CanvasProgress.objects.count() == 2


@pytest.mark.parametrize("stage", ["cloth", "launched"])
def test_cloth_is_not_said_by_hand_and_neither_is_what_is_no_stage(yard, stage):
    with pytest.raises(CanvasRefused, match="buying list"):
        say_stage(yard.piece, stage, by=None, now=NOW)


def test_the_orders_approval_is_here_when_every_piece_is_approved(yard):
    fact = Fact.objects.create(kind=FactKind.APPROVAL, name="approval", order=yard.order, set_at=NOW)
    other = CanvasPiece.objects.create(order=yard.order, kind="dodger", name="dodger")
    say_stage(yard.piece, "approved", by=None, now=NOW)
    fact.refresh_from_db()
    assert fact.state == Fact.State.UNKNOWN
    say_stage(other, "approved", by=None, now=NOW)
    fact.refresh_from_db()
    assert (fact.state, fact.here_since) == (Fact.State.HERE, TODAY)


def test_options_change_the_hours_of_her_jobs_and_back(yard, ada):
    """240 min of sewing; patterned cloth adds 120, zips 90: 450; off again it is 240."""
    assert bring_in_options(by=ada, now=NOW) == 6
    assert bring_in_options(by=ada, now=NOW) == 0
    said = set_piece_options(yard.piece, ["patterned_cloth", "zips"], seen_version=1, by=ada, now=NOW)
    assert said == ("3.5 h more of Sew",)
    assert JobWay.objects.get(job=yard.sew).duration_min == 450
    assert set_piece_options(yard.piece, ["patterned_cloth", "zips"], seen_version=2, by=ada, now=NOW) == ()
    set_piece_options(yard.piece, [], seen_version=2, by=ada, now=NOW)
    assert JobWay.objects.get(job=yard.sew).duration_min == 240


def test_an_option_of_another_kind_of_piece_or_a_stale_page_changes_nothing(yard, ada):
    bring_in_options(by=ada, now=NOW)
    with pytest.raises(CanvasRefused, match="not for boat cover"):
        set_piece_options(yard.piece, ["draining_underside"], seen_version=1, by=ada, now=NOW)
    with pytest.raises(StaleRow):
        set_piece_options(yard.piece, ["zips"], seen_version=7, by=ada, now=NOW)
    assert JobWay.objects.get(job=yard.sew).duration_min == 240
    assert not yard.piece.options.exists()


def test_an_option_without_its_job_says_so(yard, ada):
    CanvasOption.objects.create(key="own", name="Own", job_key="trial_fit", extra_min=60, source="made for tests")
    (said,) = set_piece_options(yard.piece, ["own"], seen_version=1, by=ada, now=NOW)
    assert "no open job of this order" in said


def test_a_take_off_is_kept_checked_and_known_to_be_old(yard):
    row = taken_off(yard, count=3)
    plan = take_off.plan_of(row)
    assert roll_faults(plan) == []
    # 1400 + 2 x 15 = 1430 of 1500 across: three of 2000 + 2 x 40 one after another
    assert (plan.length_mm, plan.bound_mm, row.needed) == (3 * 2080, 3 * 2080, 6300)
    assert not take_off.is_old(row)
    panel(yard, "side")
    assert take_off.is_old(row)
    assert take_off.make_take_off(yard.order, yard.cloth, by=None, now=NOW).pk == row.pk


def test_foam_is_taken_off_in_sheets(yard):
    """1000 x 2000 sheets: two of 900 x 1900 do not share one."""
    row = taken_off(yard, length_mm=1900, width_mm=900, count=2, material=yard.foam, ends_mm=0, sides_mm=0)
    assert (row.needed, sheet_faults(take_off.plan_of(row))) == (2, [])


def test_an_option_that_matches_makes_plain_panels_meet_the_pattern(yard, ada):
    yard.cloth.repeat_mm = 500
    yard.cloth.save()
    plain = taken_off(yard, length_mm=620, width_mm=700, count=2, ends_mm=0, sides_mm=0)
    bring_in_options(by=ada, now=NOW)
    set_piece_options(yard.piece, ["patterned_cloth"], seen_version=1, by=ada, now=NOW)
    assert take_off.is_old(plain)
    matched = take_off.make_take_off(yard.order, yard.cloth, by=None, now=NOW)
    assert all(piece.match_mm >= 0 for piece in take_off.plan_of(matched).pieces)
    assert (plain.needed, matched.needed) == (700, 1200)  # 620; 620 and one repeat more, in steps of 100


def test_what_cannot_be_cut_is_refused_by_name(yard):
    with pytest.raises(CuttingRefused, match="cover: top"):
        taken_off(yard, length_mm=3000, material=yard.foam)
    assert not TakeOff.objects.exists()


def test_looking_longer_is_never_worse_and_minds_a_change(yard, monkeypatch):
    monkeypatch.setattr(take_off, "LONG", take_off.Rounds(5))
    monkeypatch.setattr(take_off, "EXACT_S", 0.0)
    row = taken_off(yard, count=2)
    take_off.mark_looking(row, seen_version=row.version, by=None, now=NOW)
    take_off.look_longer(row.pk, now=NOW)
    row.refresh_from_db()
    assert (row.plan["looking_since"], row.plan["nested"]["length"]) == ("", 2 * 2080)
    panel(yard, "side")
    before = row.version
    take_off.look_longer(row.pk, now=NOW)
    row.refresh_from_db()
    assert row.version == before


def test_last_times_panels_are_taken_once(yard):
    panel(yard)
    later, _, _ = canvas_order(yard.boat, "27-0002")
    again = CanvasPiece.objects.create(order=later, kind="cover", name="cover again")
    assert earlier_pieces(again) == [yard.piece]
    assert [copy_panels(again, yard.piece, by=None, now=NOW) for _ in range(2)] == [1, 0]
    assert again.panels.get().length_mm == 2000


def test_a_panel_taken_out_is_cut_no_more_and_comes_back(yard):
    row = panel(yard)
    out = take_out_panel(row, seen_version=1, by=None, now=NOW)
    assert take_off.panels_of(yard.order, yard.cloth) == []
    panel(yard)
    with pytest.raises(CanvasRefused, match="change its name"):
        take_out_panel(row, seen_version=out.version, by=None, now=NOW)


def test_without_stock_it_is_to_be_bought_and_the_fact_is_a_guess(yard):
    line = bought(yard)
    assert (line.state, line.quantity, line.from_stock) == ("to_order", 2100, False)
    yard.fact.refresh_from_db()
    assert (yard.fact.state, yard.fact.guess) == ("expected", True)
    assert yard.fact.expected_date == TODAY + timedelta(days=10)


def test_the_shortest_roll_that_is_long_enough_is_kept_and_the_fact_is_here(yard):
    rolls = [Stock.objects.create(material=yard.cloth, length_mm=mm) for mm in (1900, 2500, 6000)]
    line = bought(yard)
    assert (line.state, line.stock, line.from_stock, line.quantity) == ("here", rolls[1], True, 2080)
    assert buying.free_of(rolls[1]) == 420
    yard.fact.refresh_from_db()
    assert (yard.fact.state, yard.fact.here_since) == ("here", TODAY)


def test_a_roll_kept_for_one_order_is_not_free_for_another(yard):
    Stock.objects.create(material=yard.cloth, length_mm=3000)
    bought(yard)
    order, _, _ = canvas_order(yard.boat, "27-0002")
    piece = CanvasPiece.objects.create(order=order, name="second")
    panel(yard, piece=piece)
    row = take_off.make_take_off(order, yard.cloth, by=None, now=NOW)
    assert buying.put_on_list(row, by=None, now=NOW).state == "to_order"


def test_ordered_then_here_then_cut(yard):
    """Expected by the supplier's word; here it lets the cut begin; cut, what is left stays in stock."""
    line = bought(yard)
    said = date(2027, 2, 20)
    buying.say_ordered(line, expected=said, told_by="Harbour Cloth", seen_version=line.version, by=None, now=NOW)
    yard.fact.refresh_from_db()
    assert (yard.fact.state, yard.fact.expected_date, yard.fact.told_by) == ("expected", said, "Harbour Cloth")
    before = FactsRevision.objects.get(pk=1).count
    buying.say_here(line, seen_version=line.version, by=None, now=NOW)
    yard.fact.refresh_from_db()
    assert yard.fact.state == "here"
    assert FactsRevision.objects.get(pk=1).count > before
    buying.say_cut(line, used=None, seen_version=line.version, by=None, now=NOW)
    stock = Stock.objects.get()
    assert (stock.length_mm, stock.archived, buying.free_of(stock)) == (20, False, 20)
    used = MaterialUsed.objects.get()
    assert (used.name, used.quantity, used.unit, used.job.key) == ("navy", 2.08, "m", "cut")


def test_cloth_is_here_only_when_all_materials_of_the_order_are(yard):
    panel(yard, "insert", material=yard.foam, length_mm=500, width_mm=400)
    line = bought(yard)
    buying.say_here(line, seen_version=line.version, by=None, now=NOW)
    yard.fact.refresh_from_db()
    assert yard.fact.state == "expected"
    foam = take_off.make_take_off(yard.order, yard.foam, by=None, now=NOW)
    second = buying.put_on_list(foam, by=None, now=NOW)
    buying.say_here(second, seen_version=second.version, by=None, now=NOW)
    yard.fact.refresh_from_db()
    assert yard.fact.state == "here"


@pytest.mark.parametrize(
    "act",
    [
        lambda line: buying.say_here(line, seen_version=line.version, by=None, now=NOW),
        lambda line: buying.say_ordered(line, expected=None, told_by="", seen_version=line.version, by=None, now=NOW),
        lambda line: buying.say_cut(line, used=99_999, seen_version=line.version, by=None, now=NOW),
    ],
)
def test_what_is_here_comes_no_second_time_and_no_more_is_cut_than_there_is(yard, act):
    line = bought(yard)
    buying.say_here(line, seen_version=line.version, by=None, now=NOW)
    with pytest.raises(BuyingRefused):
        act(line)
    assert Stock.objects.count() == 1


def test_a_stale_page_ticks_nothing(yard):
    line = bought(yard)
    with pytest.raises(StaleRow):
        buying.say_here(line, seen_version=line.version + 1, by=None, now=NOW)
    assert not Stock.objects.exists()
    assert Purchase.objects.get().state == "to_order"


def test_a_day_that_has_passed_is_no_day_to_expect(yard):
    line = bought(yard)
    past = TODAY - timedelta(days=1)
    with pytest.raises(BuyingRefused, match="passed"):
        buying.say_ordered(line, expected=past, told_by="x", seen_version=line.version, by=None, now=NOW)


def test_off_the_list_frees_the_roll_and_it_can_be_put_on_again(yard):
    roll = Stock.objects.create(material=yard.cloth, length_mm=2500)
    line = bought(yard)
    buying.take_off_list(line, seen_version=line.version, by=None, now=NOW)
    assert buying.free_of(roll) == 2500
    row = TakeOff.objects.get()
    again = [buying.put_on_list(row, by=None, now=NOW) for _ in range(2)]
    assert again[0] == again[1] != line


def test_the_buying_list_says_by_when_and_whom_it_delays(yard):
    """Wanted on 30 April, nothing planned: 21 days before to be sure, 10 at the usual."""
    bought(yard)
    ((group),) = buying_list(today=TODAY, zone=ZONE)
    (line,) = group.lines
    assert (line.needed, line.planned) == (date(2027, 4, 30), False)
    assert (line.order_by_sure, line.order_by_usual) == (date(2027, 4, 9), date(2027, 4, 20))
    assert (line.days_late, str(line.cost)) == (0, "63.00")  # 2.1 m at 30
    late = buying_list(today=date(2027, 4, 25), zone=ZONE)[0].lines[0]
    assert (late.days_late, late.past_sure_days) == (5, 16)  # 25 April + 10 days = 5 May
    sure = [buying_list(today=date(2027, 4, day), zone=ZONE)[0].lines[0] for day in (9, 10)]
    assert [(each.days_late, each.past_sure_days) for each in sure] == [(0, 0), (0, 1)]


def test_what_is_on_its_way_is_overdue_when_its_day_has_passed(yard):
    line = bought(yard)
    buying.say_ordered(line, expected=None, told_by="", seen_version=line.version, by=None, now=NOW)
    assert not buying_list(today=TODAY, zone=ZONE)[0].lines[0].overdue
    after = buying_list(today=date(2027, 5, 3), zone=ZONE)[0].lines[0]
    assert (after.overdue, after.days_late) == (True, 3)


def test_what_is_here_waits_to_be_cut(yard):
    line = bought(yard)
    buying.say_here(line, seen_version=line.version, by=None, now=NOW)
    assert [each.purchase for each in waiting_to_be_cut(today=TODAY, zone=ZONE)] == [line]
    assert buying_list(today=TODAY, zone=ZONE) == []


def test_pieces_in_work_say_how_far_they_are_and_what_is_late(yard):
    panel(yard)
    say_stage(yard.piece, "measured", by=None, now=NOW)
    (state,) = in_work(today=TODAY)
    assert (state.next.value, state.cloth_here, state.late_back) == ("approved", False, False)
    supplier = yard.cloth.supplier
    CanvasPiece.objects.filter(pk=yard.piece.pk).update(
        sent_to=supplier, sent_on=TODAY, back_by_date=TODAY + timedelta(days=2), usual_slip_days=4
    )
    (out,) = in_work(today=TODAY + timedelta(days=3))
    assert (out.late_back, out.back_likely) == (True, TODAY + timedelta(days=6))
    for stage in ("approved", "deposit"):
        say_stage(yard.piece, stage, by=None, now=NOW)
    (out,) = in_work(today=TODAY)
    assert out.next_words == "back from Harbour Cloth"
    CanvasPiece.objects.filter(pk=yard.piece.pk).update(back_on=TODAY + timedelta(days=3))
    (back,) = in_work(today=TODAY + timedelta(days=3))
    assert (back.next_words, back.late_back) == ("trial fit", False)
    say_stage(yard.piece, "fitted", by=None, now=NOW)
    assert in_work(today=TODAY) == []
