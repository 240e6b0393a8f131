from django.urls import URLPattern, URLResolver, path

from yard.web import (
    urls_boats,
    urls_calendars,
    urls_changes,
    urls_crew,
    urls_days,
    urls_letters,
    urls_lists,
    urls_orders,
    urls_proposals,
    urls_records,
    urls_season,
    urls_yard,
)
from yard.web.health import healthz
from yard.web.views import accounts, plans

urlpatterns: list[URLPattern | URLResolver] = [
    *urls_season.urlpatterns,
    *urls_days.urlpatterns,
    *urls_letters.urlpatterns,
    *urls_crew.urlpatterns,
    *urls_lists.urlpatterns,
    *urls_orders.urlpatterns,
    *urls_yard.urlpatterns,
    *urls_changes.urlpatterns,
    *urls_boats.urlpatterns,
    *urls_records.urlpatterns,
    *urls_proposals.urlpatterns,
    *urls_calendars.urlpatterns,
    path("plans/", plans.plans, name="plans"),
    path("plans/season/", plans.plan_season, name="plan_season"),
    path("plans/<int:pk>/", plans.plan, name="plan"),
    path("plans/<int:pk>/post/", plans.plan_post, name="plan_post"),
    path("plans/<int:pk>/withdraw/", plans.plan_withdraw, name="plan_withdraw"),
    path("plans/runs/<int:pk>/", plans.run, name="run"),
    path("plans/runs/<int:pk>/stop/", plans.run_stop, name="run_stop"),
    path("healthz", healthz, name="healthz"),
    path("sign-in/", accounts.sign_in, name="sign_in"),
    path("sign-out/", accounts.sign_out, name="sign_out"),
    path("password/", accounts.change_password, name="change_password"),
    path("yard/accounts/", accounts.accounts, name="accounts"),
    path("yard/accounts/<int:pk>/password/", accounts.account_new_password, name="account_new_password"),
    path("yard/accounts/<int:pk>/role/", accounts.account_role, name="account_role"),
    path("yard/accounts/<int:pk>/active/", accounts.account_active, name="account_active"),
]
