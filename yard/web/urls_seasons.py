"""Addresses of seasons, their ends, their comparison, and what the bookkeeper gets."""

from django.urls import URLPattern, path

from yard.web.views import books, seasons

urlpatterns: list[URLPattern] = [
    path("seasons/", seasons.seasons, name="seasons"),
    path("seasons/new/", seasons.season_new, name="season_new"),
    path("seasons/compare/", seasons.seasons_compared, name="seasons_compared"),
    path("seasons/<int:pk>/", seasons.season_kept_change, name="season_kept_change"),
    path("seasons/<int:pk>/end/", seasons.season_end, name="season_end"),
    path("seasons/<int:pk>/open/", seasons.season_open, name="season_open"),
    path("seasons/ends/<int:pk>/", seasons.year_end, name="year_end"),
    path("seasons/ends/<int:pk>/go-on/", seasons.year_end_go_on, name="year_end_go_on"),
    path("seasons/ends/<int:pk>/back/", seasons.year_end_back, name="year_end_back"),
    path("books/", books.books, name="books"),
    path("books/<slug:name>.xlsx", books.books_xlsx, name="books_xlsx"),
    path("books/<slug:name>.csv", books.books_csv, name="books_csv"),
]
