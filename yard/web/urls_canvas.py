"""Addresses of canvas orders, cutting plans, materials and the buying list."""

from django.urls import URLPattern, path

from yard.web.views import canvas, cloth

urlpatterns: list[URLPattern] = [
    path("canvas/", canvas.canvas, name="canvas"),
    path("orders/<int:pk>/canvas/", canvas.canvas_order, name="canvas_order"),
    path("orders/<int:pk>/canvas/new/", canvas.canvas_piece_new, name="canvas_piece_new"),
    path("canvas/<int:pk>/", canvas.canvas_piece_change, name="canvas_piece_change"),
    path("canvas/<int:pk>/archive/", canvas.canvas_piece_archive, name="canvas_piece_archive"),
    path("canvas/<int:pk>/said/", canvas.canvas_said, name="canvas_said"),
    path("canvas/<int:pk>/options/", canvas.canvas_options_of, name="canvas_options_of"),
    path("canvas/<int:pk>/last-time/", canvas.canvas_copy, name="canvas_copy"),
    path("canvas/<int:pk>/panels/new/", canvas.canvas_panel_new, name="canvas_panel_new"),
    path("canvas/panels/<int:pk>/", canvas.canvas_panel_change, name="canvas_panel_change"),
    path("canvas/panels/<int:pk>/out/", canvas.canvas_panel_out, name="canvas_panel_out"),
    path("canvas/options/", canvas.canvas_options, name="canvas_options"),
    path("canvas/options/shipped/", canvas.canvas_options_shipped, name="canvas_options_shipped"),
    path("canvas/options/new/", canvas.canvas_option_new, name="canvas_option_new"),
    path("canvas/options/<int:pk>/", canvas.canvas_option_change, name="canvas_option_change"),
    path("canvas/options/<int:pk>/archive/", canvas.canvas_option_archive, name="canvas_option_archive"),
    path("orders/<int:order>/take-off/<int:material>/", canvas.take_off_make, name="take_off_make"),
    path("cutting/<int:pk>/", canvas.take_off, name="take_off"),
    path("cutting/<int:pk>/act/", canvas.take_off_act, name="take_off_act"),
    path("materials/", cloth.materials, name="materials"),
    path("materials/new/", cloth.material_new, name="material_new"),
    path("materials/<int:pk>/", cloth.material_change, name="material_change"),
    path("materials/<int:pk>/archive/", cloth.material_archive, name="material_archive"),
    path("materials/<int:pk>/stock/", cloth.stock_new, name="stock_new"),
    path("suppliers/new/", cloth.supplier_new, name="supplier_new"),
    path("suppliers/<int:pk>/", cloth.supplier_change, name="supplier_change"),
    path("suppliers/<int:pk>/archive/", cloth.supplier_archive, name="supplier_archive"),
    path("stock/<int:pk>/", cloth.stock_change, name="stock_change"),
    path("stock/<int:pk>/archive/", cloth.stock_archive, name="stock_archive"),
    path("buying/", cloth.buying, name="buying"),
    path("buying/<int:pk>/", cloth.buying_line, name="buying_line"),
]
