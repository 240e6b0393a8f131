from django.urls import URLPattern, URLResolver, path

from yard.web.health import healthz
from yard.web.views import accounts

urlpatterns: list[URLPattern | URLResolver] = [
    path("healthz", healthz, name="healthz"),
    path("sign-in/", accounts.sign_in, name="sign_in"),
    path("sign-out/", accounts.sign_out, name="sign_out"),
    path("password/", accounts.change_password, name="change_password"),
    path("yard/accounts/", accounts.accounts, name="accounts"),
    path("yard/accounts/<int:pk>/password/", accounts.account_new_password, name="account_new_password"),
    path("yard/accounts/<int:pk>/role/", accounts.account_role, name="account_role"),
    path("yard/accounts/<int:pk>/active/", accounts.account_active, name="account_active"),
]
