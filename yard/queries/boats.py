"""Reads of boats."""

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from yard.models import Boat, Order


def boats_with_open_orders() -> QuerySet[Boat]:
    """Boats with open work, by name; each has `open_orders`, a list, oldest first. Two queries."""
    open_orders = Order.objects.filter(state=Order.State.OPEN)
    listed = Prefetch(
        "orders", open_orders.select_related("package", "season").order_by("made_at", "id"), to_attr="open_orders"
    )
    return (
        Boat.objects.filter(Exists(open_orders.filter(boat=OuterRef("pk"))))
        .prefetch_related(listed)
        .order_by("name", "id")
    )
