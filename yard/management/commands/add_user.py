"""Open an account. The first one is opened here; later ones also on the page “Who may sign in”."""

from django.core.management.base import CommandError
from django.utils.translation import gettext as _

from yard.management.on_tables import OnTables
from yard.services.people_accounts import ROLES, AccountRefused, add_account


class Command(OnTables):
    help = "Open an account and print its one-time password."

    def add_arguments(self, parser) -> None:
        parser.add_argument("name", help="name to sign in with")
        parser.add_argument("--role", choices=ROLES, required=True)
        parser.add_argument("--first-name", default="", help="as pages greet them")

    def handle(self, *, name: str, role, first_name: str, **options) -> None:
        try:
            access = add_account(name, role=role, first_name=first_name)
        except AccountRefused as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write(
            _("{name} may sign in as {role}, once, with this password:").format(name=access.account.username, role=role)
        )
        self.stdout.write(access.one_time_password)
        self.stdout.write(_("It is kept nowhere. At the first sign-in it is replaced by one of their own."))
