from django.urls import path

from buildlog.materials import purchase_views, views

urlpatterns = [
    path("materials/", views.materials, name="materials"),
    path("materials/<int:pk>/", views.material, name="material"),
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
