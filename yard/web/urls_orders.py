"""Addresses of orders and packages."""

from django.urls import URLPattern, path

from yard.web.views import order_jobs, order_ways_in, orders, packages

urlpatterns: list[URLPattern] = [
    path("orders/", orders.orders, name="orders"),
    path("orders/new/", orders.order_new, name="order_new"),
    path("orders/walk-in/", order_ways_in.walk_in, name="walk_in"),
    path("orders/again/", order_ways_in.orders_again, name="orders_again"),
    path("orders/new/<int:pk>/", orders.order_new, name="order_new_for"),
    path("orders/work/", orders.order_work, name="order_work"),
    path("orders/<int:pk>/", orders.order, name="order"),
    path("orders/<int:pk>/jobs/new/", order_jobs.order_job, name="order_job_new"),
    path("orders/<int:pk>/jobs/<int:job>/", order_jobs.order_job, name="order_job"),
    path("orders/<int:pk>/jobs/<int:job>/out/", order_jobs.order_job_out, name="order_job_out"),
    path("orders/<int:pk>/change/", orders.order_change, name="order_change"),
    path("orders/<int:pk>/dates/", orders.order_dates, name="order_dates"),
    path("orders/<int:pk>/options/", orders.order_options, name="order_options"),
    path("orders/<int:pk>/withdraw/", orders.order_withdraw, name="order_withdraw"),
    path("orders/<int:pk>/put-back/", orders.order_put_back, name="order_put_back"),
    path("orders/<int:pk>/hours/<int:way>/", orders.order_hours, name="order_hours"),
    path("packages/", packages.packages, name="packages"),
    path("packages/<int:pk>/", packages.package, name="package"),
]
