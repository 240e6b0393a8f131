"""Addresses of sign-in, of one's own account, and of everybody's."""

from django.urls import URLPattern, path

from yard.web.views import accounts, own_account, signing_in

urlpatterns: list[URLPattern] = [
    path("sign-in/", signing_in.sign_in, name="sign_in"),
    path("sign-in/code/", signing_in.sign_in_code, name="sign_in_code"),
    path("sign-out/", signing_in.sign_out, name="sign_out"),
    path("password/", own_account.change_password, name="change_password"),
    path("account/", own_account.own_account, name="own_account"),
    path("account/confirm/", signing_in.confirm, name="confirm"),
    path("account/second-factor/", own_account.second_factor_page, name="second_factor"),
    path("account/second-factor/begin/", own_account.second_factor_begin, name="second_factor_begin"),
    path("account/second-factor/off/", own_account.second_factor_off, name="second_factor_off"),
    path("account/second-factor/codes/", own_account.recovery_codes_new, name="recovery_codes_new"),
    path("account/sign-ins/end/", own_account.sign_ins_end, name="sign_ins_end"),
    path("yard/accounts/", accounts.accounts, name="accounts"),
    path("yard/accounts/second-factor/", accounts.accounts_demand, name="accounts_demand"),
    path("yard/accounts/<int:pk>/password/", accounts.account_new_password, name="account_new_password"),
    path("yard/accounts/<int:pk>/role/", accounts.account_role, name="account_role"),
    path("yard/accounts/<int:pk>/active/", accounts.account_active, name="account_active"),
    path("yard/accounts/<int:pk>/second-factor/", accounts.account_second_factor, name="account_second_factor"),
]
