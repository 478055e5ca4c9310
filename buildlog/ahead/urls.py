"""The sheets that look ahead, under a build's address."""

urlpatterns: list = []
