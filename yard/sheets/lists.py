"""The lists that come in and go out as sheets, and their columns.

Limits and words are those of the yard's rows; a test holds them against the models. Words for headings are common
practice in yards' own spreadsheets.
"""

from __future__ import annotations

from yard.sheets.columns import Column, Kind, ListOf
from yard.sheets.lists_of_work import INVENTORY, ORDERS

ARCHIVED = Column(
    key="archived", heading="archived", kind=Kind.YES_NO, words=("gone", "left", "inactive"), about="yes: no longer here"
)
NOTES = Column(key="notes", heading="notes", words=("note", "remarks", "comments", "comment", "remark"))

BOATS = ListOf(
    name="boats",
    title="Boats",
    one="boat",
    about="Bring owners in first, so that each boat can name hers.",
    columns=(
        Column(key="ref", heading="ref", kind=Kind.REF, words=("boat no", "no", "number", "boat number", "id", "boat id", "code", "boat ref"), about="your own short name for her; empty: made from her name", sample="wren"),
        Column(key="name", heading="name", words=("boat", "boat name", "vessel", "vessel name", "yacht"), needed=True, sample="Wren"),
        Column(key="kind", heading="kind", kind=Kind.CHOICE, words=("type", "boat type", "sail or motor"), choices={"sail": ("sailing boat", "sail", "sailboat", "yacht", "s", "sloop", "ketch", "yawl", "cutter", "catboat"), "motor": ("motor boat", "motor", "motorboat", "power", "powerboat", "launch", "m"), "open": ("open boat", "open", "dinghy", "skiff", "daysailer"), "multihull": ("multihull", "catamaran", "trimaran", "cat", "tri"), "other": ("other",)}, sample="sailing boat"),
        Column(key="design", heading="builder and model", words=("design", "make", "model", "class", "builder", "make and model", "make/model"), sample="Made-up 28"),
        Column(key="sail_number", heading="sail number", words=("sail no", "sail #", "sail")),
        Column(key="length_m", heading="length", kind=Kind.LENGTH, words=("loa", "length overall", "l o a", "overall length", "len"), needed=True, least=0.5, most=60.0, about="overall", sample="28'6\""),
        Column(key="beam_m", heading="beam", kind=Kind.LENGTH, words=("width", "breadth"), needed=True, least=0.2, most=15.0, sample="9'2\""),
        Column(key="draft_m", heading="draft", kind=Kind.LENGTH, words=("draught", "depth", "draws"), least=0.05, most=12.0, about="empty: not known, and nothing that needs water is planned", sample="4'6\""),
        Column(key="displacement_kg", heading="displacement", kind=Kind.MASS, words=("displ", "mass", "weight"), least=20.0, most=200_000.0, sample="3200 kg"),
        Column(key="mast_height_m", heading="mast above water", kind=Kind.LENGTH, words=("mast height", "mast", "air draft", "air draught", "height of mast"), least=1.0, most=60.0, sample="40 ft"),
        Column(key="planked", heading="planked", kind=Kind.YES_NO, words=("carvel", "wooden, takes up", "takes up"), about="yes: she takes up after launching", sample="no"),
        Column(key="in_a_storm", heading="in a storm", kind=Kind.CHOICE, words=("storm", "storm instruction", "storm plan"), choices={"ask": ("ask first", "ask", "call"), "haul": ("haul her", "haul"), "strip": ("strip sails and canvas", "strip"), "double": ("double the pendants", "double", "double pendants")}, sample="ask first"),
        Column(key="owner", heading="owner", kind=Kind.ROW, words=("owner name", "owner ref", "customer", "owned by"), private=True, of="owners", about="ref or name of an owner on file", sample="hale"),
        NOTES,
        ARCHIVED,
    ),
)  # fmt: skip

OWNERS = ListOf(
    name="owners",
    title="Owners",
    one="owner",
    columns=(
        Column(key="ref", heading="ref", kind=Kind.REF, words=("owner ref", "no", "number", "id", "customer no", "code", "account"), about="your own short name; empty: made from the name", sample="hale", private=True),
        Column(key="name", heading="name", words=("owner", "owner name", "customer", "full name"), needed=True, private=True, sample="Ruth Hale"),
        Column(key="phone", heading="phone", words=("telephone", "tel", "cell", "mobile", "phone no", "phone number"), private=True, sample="207 555 0142"),
        Column(key="email", heading="e-mail", words=("email", "e mail", "mail", "email address"), private=True, sample="ruth@example.org"),
        Column(key="address", heading="address", words=("postal address", "home address", "street"), private=True),
        Column(key="prefers", heading="prefers", kind=Kind.CHOICE, words=("contact by", "how to reach"), private=True, choices={"call": ("a call", "call", "phone"), "text": ("a text message", "text", "sms"), "email": ("an e-mail", "email", "e-mail"), "letter": ("a letter", "letter", "post", "mail")}, sample="a call"),
        Column(key="notes", heading="notes", words=NOTES.words, private=True),
        Column(key="archived", heading="archived", kind=Kind.YES_NO, words=ARCHIVED.words, private=True),
    ),
)  # fmt: skip

MOORINGS = ListOf(
    name="moorings",
    title="Moorings",
    one="mooring",
    name_key="ref",
    about="Heights are from the chart's datum; what dries is negative.",
    columns=(
        Column(key="ref", heading="ref", kind=Kind.REF, words=("mooring", "mooring no", "no", "number", "mooring number", "ball"), needed=True, sample="M-12"),
        Column(key="latitude", heading="latitude", kind=Kind.ANGLE, words=("lat",), least=-90, most=90, sample="40.1533"),
        Column(key="longitude", heading="longitude", kind=Kind.ANGLE, words=("long", "lon", "lng"), least=-180, most=180, sample="-74.7012"),
        Column(key="position_note", heading="where", words=("position", "location", "position note"), sample="third out from the ramp"),
        Column(key="depth_m_at_datum", heading="depth", kind=Kind.LENGTH, words=("charted depth", "depth at datum", "depth mllw", "depth at mllw"), least=-15.0, most=60.0, about="charted, at the mooring", sample="6 ft"),
        Column(key="route_shoalest_m_at_datum", heading="shoalest on the way", kind=Kind.LENGTH, words=("shoalest", "least depth", "controlling depth"), least=-15.0, most=60.0, about="charted; negative where it dries", sample="2 ft"),
        Column(key="underside_m_above_datum", heading="bridge or wire", kind=Kind.LENGTH, words=("bridge", "clearance", "underside"), least=0.0, most=120.0, about="the lowest over the way, above the datum"),
        Column(key="tackle", heading="tackle", words=("gear", "ground tackle", "mooring gear"), sample="mushroom, mooring chain, pendant"),
        Column(key="tackle_set_on", heading="tackle set on", kind=Kind.DATE, words=("set", "set on", "tackle set"), sample="2027-04-20"),
        Column(key="tackle_inspected_on", heading="inspected on", kind=Kind.DATE, words=("inspected", "last inspection", "tackle inspected"), sample="2026-05-11"),
        Column(key="tackle_inspection_due_on", heading="inspection due", kind=Kind.DATE, words=("next inspection", "due"), sample="2028-05-11"),
        Column(key="chain_spread_m", heading="mooring chain spread", kind=Kind.LENGTH, words=("chain", "chain spread", "scope"), least=0.0, most=100.0),
        Column(key="pendant_m", heading="pendant", kind=Kind.LENGTH, words=("pennant", "pendant length"), least=0.0, most=60.0),
        Column(key="permit_boat", heading="permit for boat", kind=Kind.ROW, words=("boat", "boat ref", "permit boat", "assigned to"), of="boats", about="ref or name of a boat on file", sample="wren"),
        Column(key="permit_number", heading="permit", words=("permit no", "permit number"), sample="2027-114"),
        Column(key="permit_expires_on", heading="permit until", kind=Kind.DATE, words=("permit expires", "expires", "permit expiry"), sample="2027-12-31"),
        Column(key="temporary", heading="temporary", kind=Kind.YES_NO, words=("lent", "guest"), about="yes: the yard's own, lent", sample="no"),
        ARCHIVED,
    ),
)  # fmt: skip

PEOPLE = ListOf(
    name="people",
    title="People",
    one="person",
    columns=(
        Column(key="ref", heading="ref", kind=Kind.REF, words=("no", "number", "id", "code"), about="your own short name; empty: made from the name", sample="tom"),
        Column(key="name", heading="name", words=("person", "full name", "who"), needed=True, sample="Tom Reed"),
        Column(key="short_name", heading="short name", words=("called", "first name", "nickname", "initials"), about="on boards and day sheets; empty: the first name", sample="Tom"),
        Column(key="phone", heading="phone", words=("telephone", "tel", "cell", "mobile", "phone number"), private=True, sample="207 555 0163"),
        Column(key="contractor", heading="contractor", kind=Kind.YES_NO, words=("outside", "subcontractor"), about="yes: comes on agreed dates, without usual hours", sample="no"),
        Column(key="skills", heading="skills", kind=Kind.SKILLS, words=("skill", "can do", "trades"), about="each with how well: helps, does it, leads it", sample="rigger (leads it); boat handler (does it)"),
        Column(key="hours", heading="usual hours", kind=Kind.HOURS, words=("hours", "working hours", "week"), sample="Mon-Fri 07:00-12:00, 12:30-15:30"),
        Column(key="early_slide_min", heading="may start early, min", kind=Kind.WHOLE, words=("early",), least=0, most=360, about="minutes before the usual hours, for a tide", sample="60"),
        Column(key="late_slide_min", heading="may end late, min", kind=Kind.WHOLE, words=("late",), least=0, most=360, sample="60"),
        Column(key="slides_per_week", heading="times a week", kind=Kind.WHOLE, least=0, most=7, about="how often a day may slide for a tide", sample="2"),
        Column(key="overtime_min_per_week", heading="overtime a week, min", kind=Kind.WHOLE, words=("overtime",), least=0, most=2400, sample="0"),
        Column(key="longest_day_min", heading="longest day, min", kind=Kind.WHOLE, words=("longest day",), least=60, most=1440, sample="600"),
        Column(key="least_rest_min", heading="rest between days, min", kind=Kind.WHOLE, words=("least rest", "rest"), least=0, most=1440, sample="660"),
        Column(key="usual_slip_days", heading="usual slip, days", kind=Kind.WHOLE, words=("slip",), least=0, most=365, about="of a contractor", sample="0"),
        NOTES,
        ARCHIVED,
    ),
)  # fmt: skip

PLACE_KINDS = {
    "ramp": ("ramp",), "trailer": ("trailer",), "truck": ("truck",), "gin_pole": ("gin pole",), "slings": ("slings",),
    "wash_deck": ("wash deck",), "drying_line": ("drying line", "line"), "loft_floor": ("loft floor", "loft"),
    "machine": ("sewing machine", "machine"), "bench": ("bench",), "spar_rack": ("spar rack", "rack"),
    "sail_store": ("sail store",), "store_row": ("row of the store", "row", "store row"), "apron": ("apron",),
    "workboat": ("workboat", "work boat"), "berth": ("berth",), "dock": ("dock",), "other": ("other",),
}  # fmt: skip

PLACES = ListOf(
    name="places",
    title="Places",
    one="place",
    columns=(
        Column(key="ref", heading="ref", kind=Kind.REF, words=("no", "number", "id", "code"), about="empty: made from the name", sample="berth-1"),
        Column(key="name", heading="name", words=("place",), needed=True, sample="North berth"),
        Column(key="short_name", heading="short name", words=("short",), sample="N berth"),
        Column(key="kind", heading="kind", kind=Kind.CHOICE, words=("type",), needed=True, choices=PLACE_KINDS, sample="berth"),
        Column(key="capacity", heading="takes at once", kind=Kind.WHOLE, words=("capacity", "how many"), least=1, most=500, sample="1"),
        Column(key="max_length_m", heading="longest boat", kind=Kind.LENGTH, words=("max length", "max loa"), least=0.5, most=100.0, sample="40 ft"),
        Column(key="max_beam_m", heading="widest boat", kind=Kind.LENGTH, words=("max beam",), least=0.2, most=30.0),
        Column(key="max_displacement_kg", heading="heaviest boat", kind=Kind.MASS, words=("max displacement", "safe working load", "swl"), least=1.0, most=500_000.0),
        Column(key="max_draft_m", heading="deepest boat", kind=Kind.LENGTH, words=("max draft", "max draught"), least=0.05, most=12.0),
        Column(key="level_m_above_datum", heading="level", kind=Kind.LENGTH, words=("level above datum", "sill"), least=-15.0, most=30.0, about="sill or bottom above the chart's datum; negative below it"),
        Column(key="counted_by_night", heading="by night", kind=Kind.YES_NO, words=("counted by night", "nights"), about="yes: taken for whole nights, as a berth", sample="yes"),
        Column(key="outdoor", heading="outdoors", kind=Kind.YES_NO, words=("outdoor", "outside"), sample="yes"),
        Column(key="wind_factor", heading="wind factor", kind=Kind.NUMBER, words=("wind",), least=0.05, most=5.0, about="wind here over wind in the forecast", sample="1"),
        Column(key="operators", heading="worked by", kind=Kind.ROWS, words=("operators", "operator"), of="people", about="refs or names, parted by ; empty: whoever has the skill"),
        Column(key="sequence", heading="order in lists", kind=Kind.WHOLE, words=("sequence", "order"), least=0, most=30_000, sample="0"),
        NOTES,
        ARCHIVED,
    ),
)  # fmt: skip

LISTS = {one.name: one for one in (OWNERS, BOATS, MOORINGS, PEOPLE, PLACES, ORDERS, INVENTORY)}
"""In the order in which an empty yard brings them in: what others name comes first."""
