from rest_framework.pagination import PageNumberPagination


class Pages(PageNumberPagination):
    """A hundred rows a page, up to five hundred for those who ask."""

    page_size = 100
    page_size_query_param = "per"
    max_page_size = 500
