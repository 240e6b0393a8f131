"""Take a lost second factor away, also when no planner can sign in any more."""

from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.services.second_factor import take_away


class Command(BaseCommand):
    help = "Take away somebody's second factor, whose phone and codes are lost; their sign-ins end."

    def add_arguments(self, parser) -> None:
        parser.add_argument("name", help="name to sign in with")

    def handle(self, *, name: str, **options) -> None:
        account = User.objects.filter(username__iexact=name).first()
        if account is None:
            raise CommandError(_("There is no account “{name}”.").format(name=name))
        if not take_away(account, by=None, now=timezone.now()):
            raise CommandError(
                _("{username} has no second factor: nothing was changed.").format(username=account.username)
            )
        self.stdout.write(_("{username} signs in by the password alone now.").format(username=account.username))
