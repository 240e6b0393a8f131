"""A road or ferry trip with a fixed date: truck, trailer and people are booked until they are back."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from yard.models.crew import Person
from yard.models.orders import Order
from yard.models.places import Place
from yard.models.versioned import Versioned


class Trip(Versioned):
    """One trip of an order, [leaves_at, returns_at). It never moves: the work before it does.

    drive_min: from the yard to the check-in, or to where she goes. check_in_by: when the ferry takes nobody any more;
    empty on the road. permit: number of the road permit, "" while there is none.
    """

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="trips")
    leaves_at = models.DateTimeField()
    drive_min = models.PositiveIntegerField()
    check_in_by = models.DateTimeField(null=True, blank=True)
    returns_at = models.DateTimeField()
    people = models.ManyToManyField(Person, related_name="trips")
    places = models.ManyToManyField(Place, related_name="trips")
    permit = models.CharField(max_length=60, blank=True)
    escort = models.CharField(max_length=120, blank=True, help_text=gettext_lazy("who drives before or behind"))
    note = models.CharField(max_length=200, blank=True)
    booked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="trips_booked"
    )
    booked_at = models.DateTimeField()
    called_off_at = models.DateTimeField(null=True, blank=True)
    form_key = models.UUIDField(null=True, blank=True, unique=True, editable=False)
    history = HistoricalRecords(m2m_fields=[people, places])

    class Meta:
        ordering = ["leaves_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["order"],
                condition=Q(called_off_at=None),
                name="trip_one_an_order",
                violation_error_message=gettext_lazy(
                    "This order has its trip already: change that one, or call it off."
                ),
            ),
            models.CheckConstraint(
                condition=Q(returns_at__gt=F("leaves_at")),
                name="trip_returns_after_leaving",
                violation_error_message=gettext_lazy("They are back before they leave: set the return after it."),
            ),
        ]

    def __str__(self) -> str:
        return _("trip of {order} on {leaves_at} UTC").format(
            order=self.order.ref, leaves_at=f"{self.leaves_at:%Y-%m-%d %H:%M}"
        )
