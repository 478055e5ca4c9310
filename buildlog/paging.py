"""Long lists, a page at a time, for the upper floor too. See `tasks.paging`."""

from tasks.paging import AddressedPage, page_of

__all__ = ["AddressedPage", "page_of"]
