from django.urls import path

from buildlog.materials import (
    material_views,
    part_views,
    purchase_views,
    stock_views,
    supplier_views,
    views,
)

urlpatterns = [
    path("materials/", views.materials, name="materials"),
    path("materials/new/", material_views.material_new, name="material-new"),
    path("materials/<int:pk>/", material_views.material, name="material"),
    path("materials/<int:pk>/edit/", material_views.material_edit, name="material-edit"),
    path("materials/<int:pk>/delete/", material_views.material_delete, name="material-delete"),
    path("materials/<int:pk>/price/", material_views.price_new, name="price-new"),
    path("materials/prices/<int:pk>/delete/", material_views.price_delete, name="price-delete"),
    path("materials/<int:pk>/stock/", stock_views.stock_move, name="stock-move"),
    path("stock/<int:pk>/take-back/", stock_views.stock_take_back, name="stock-take-back"),
    path("parts/", part_views.parts, name="parts"),
    path("parts/new/", part_views.part_new, name="part-new"),
    path("parts/several/", part_views.parts_new, name="parts-new"),
    path("parts/<int:pk>/", part_views.part_edit, name="part-edit"),
    path("parts/<int:pk>/delete/", part_views.part_delete, name="part-delete"),
    path("suppliers/", supplier_views.suppliers, name="suppliers"),
    path("suppliers/new/", supplier_views.supplier_new, name="supplier-new"),
    path("suppliers/<int:pk>/", supplier_views.supplier_edit, name="supplier-edit"),
    path("suppliers/<int:pk>/delete/", supplier_views.supplier_delete, name="supplier-delete"),
    path("purchases/", purchase_views.purchases, name="purchases"),
    path("purchases/new/", purchase_views.purchase_new, name="purchase-new"),
    path("purchases/<int:pk>/", purchase_views.purchase, name="purchase"),
    path("purchases/<int:pk>/edit/", purchase_views.purchase_edit, name="purchase-edit"),
    path("purchases/<int:pk>/delete/", purchase_views.purchase_delete, name="purchase-delete"),
    path("purchases/<int:pk>/receipt/", purchase_views.purchase_receipt, name="purchase-receipt"),
    path(
        "purchases/<int:pk>/arrived/",
        purchase_views.purchase_step,
        {"step": "arrived"},
        name="purchase-arrived",
    ),
    path(
        "purchases/<int:pk>/paid/",
        purchase_views.purchase_step,
        {"step": "paid"},
        name="purchase-paid",
    ),
]
