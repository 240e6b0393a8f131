"""Addresses of product data sheets."""

from django.urls import URLPattern, path

from yard.web.views import products

urlpatterns: list[URLPattern] = [
    path("products/", products.products, name="products"),
    path("products/new/", products.product_change, name="product_new"),
    path("products/<int:pk>/", products.product, name="product"),
    path("products/<int:pk>/change/", products.product_change, name="product_change"),
    path("products/<int:pk>/use/", products.product_use, name="product_use"),
]
