"""A new one-time password for somebody who forgot theirs, also when no planner can sign in any more."""

from django.contrib.auth.models import User
from django.core.management.base import CommandError
from django.utils.translation import gettext as _

from yard.management.on_tables import OnTables
from yard.services.people_accounts import new_password


class Command(OnTables):
    help = "Replace a password by a one-time password and print it; open sessions end, a lock is lifted."

    def add_arguments(self, parser) -> None:
        parser.add_argument("name", help="name to sign in with")

    def handle(self, *, name: str, **options) -> None:
        account = User.objects.filter(username__iexact=name, is_active=True).first()
        if account is None:
            raise CommandError(_("There is no open account “{name}”.").format(name=name))
        access = new_password(account)
        self.stdout.write(_("{username} may sign in once with this password:").format(username=account.username))
        self.stdout.write(access.one_time_password)
