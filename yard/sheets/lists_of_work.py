"""The lists of orders and of inventory, and their columns."""

from __future__ import annotations

from yard.sheets.columns import Column, Kind, ListOf

ORDERS = ListOf(
    name="orders",
    title="Orders",
    one="order",
    name_key="ref",
    about="A new order of a package brings its jobs with it; state, package and boat of an order on file stay as they are.",
    columns=(
        Column(key="ref", heading="ref", kind=Kind.REF, words=("order", "order no", "no", "number", "order number", "id"), about="empty: the next number of the year", sample="27-001"),
        Column(key="boat", heading="boat", kind=Kind.ROW, words=("boat ref", "boat name", "vessel"), only_new=True, of="boats", about="ref or name of a boat on file", sample="wren"),
        Column(key="package", heading="package", kind=Kind.ROW, words=("work package", "job type"), only_new=True, of="packages", about="name of a work package; empty: an order without jobs yet", sample="Spring commissioning"),
        Column(key="options", heading="options", kind=Kind.ROWS, words=("with", "extras"), only_new=True, of="options", about="options of the package that are on, parted by ; empty: as usual"),
        Column(key="name", heading="name", words=("what", "description", "work", "title"), about="empty: the package's name", sample="Spring commissioning"),
        Column(key="season", heading="season", kind=Kind.ROW, words=("year",), of="seasons", about="empty for a new order: the one that holds today"),
        Column(key="unconfirmed", heading="unconfirmed", kind=Kind.YES_NO, words=("not confirmed",), about="yes: as last year, not yet confirmed by the owner", sample="no"),
        Column(key="earliest_date", heading="earliest", kind=Kind.DATE, words=("earliest date", "not before", "from"), sample="2027-04-26"),
        Column(key="wanted_date", heading="wanted", kind=Kind.DATE, words=("wanted date", "wants", "requested", "date wanted", "wanted by"), sample="2027-05-14"),
        Column(key="latest_date", heading="latest", kind=Kind.DATE, words=("latest date", "not after", "until", "deadline"), sample="2027-05-28"),
        Column(key="promised_date", heading="promised", kind=Kind.DATE, words=("promised date", "told"), about="what the owner was told, and the plan keeps"),
        Column(key="goes_first", heading="goes first", kind=Kind.WHOLE, words=("priority",), least=1, most=3, about="1 as all, 3 before all", sample="1"),
        Column(key="covers_gate_delivery", heading="covers before delivery", kind=Kind.YES_NO, words=("covers gate delivery",), sample="no", only_new=True),
        Column(key="to_mooring", heading="to mooring", kind=Kind.ROW, words=("mooring",), of="moorings", about="empty: the mooring of her permit"),
        Column(key="walk_in_name", heading="walk-in", words=("walk in", "customer", "walk-in name"), private=True, about="who walked in, where there is no boat on file"),
        Column(key="walk_in_phone", heading="walk-in phone", words=("walk in phone", "phone", "telephone"), private=True),
        Column(key="bag_tag", heading="bag tag", words=("tag", "bag"), sample=""),
        Column(key="price_said", heading="price said", words=("price", "quote", "estimate")),
        Column(key="notes", heading="notes", words=("note", "remarks", "comments", "comment")),
        Column(key="state", heading="state", kind=Kind.CHOICE, shown=True, choices={"open": ("open",), "done": ("done",), "cancelled": ("cancelled", "withdrawn")}, about="for reading: it is changed on the order's own page"),
    ),
)  # fmt: skip

INVENTORY = ListOf(
    name="inventory",
    title="Inventory",
    one="thing",
    about="Masts, sails, cushions, covers, keys, cradles: whose they are and where.",
    columns=(
        Column(key="ref", heading="ref", kind=Kind.REF, words=("no", "number", "id", "code"), about="empty: made from boat and name", sample="wren-main"),
        Column(key="boat", heading="boat", kind=Kind.ROW, words=("boat ref", "boat name", "vessel", "belongs to"), of="boats", about="ref or name of a boat on file", sample="wren"),
        Column(key="order", heading="walk-in's order", kind=Kind.ROW, words=("order", "order ref"), of="orders", about="where there is no boat on file"),
        Column(key="kind", heading="kind", kind=Kind.CHOICE, words=("type", "what"), needed=True, choices={"mast": ("mast", "spar"), "sail": ("sail", "sails"), "cushions": ("cushions", "cushion"), "cover": ("cover", "covers", "canvas", "dodger", "bimini"), "frame": ("frame", "frames"), "keys": ("keys", "key"), "cradle": ("cradle", "stands", "jackstands"), "engine": ("engine", "outboard", "motor"), "other": ("other",)}, sample="sail"),
        Column(key="name", heading="name", words=("item", "thing", "description"), needed=True, sample="mainsail"),
        Column(key="bag_tag", heading="bag tag", words=("tag", "bag", "label"), sample="S012"),
        Column(key="area_m2", heading="area", kind=Kind.AREA, words=("sail area", "size"), least=0.01, most=2000.0, sample="260 ft2"),
        Column(key="where", heading="where", kind=Kind.ROW, words=("location", "place", "stored", "stored at", "where is it"), of="spots", about="ref or name of a place, or aboard, with the owner, sent out", sample="sail-store"),
        Column(key="condition", heading="condition", kind=Kind.CHOICE, words=("dry or damp", "dry"), choices={"dry": ("dry",), "damp": ("damp", "wet")}, about="of a sail that is in the yard", sample="dry"),
        Column(key="notes", heading="notes", words=("note", "remarks", "comments", "comment")),
        Column(key="archived", heading="archived", kind=Kind.YES_NO, words=("gone", "left"), about="yes: no longer here"),
    ),
)  # fmt: skip
