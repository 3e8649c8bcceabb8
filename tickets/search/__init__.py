"""Finding orders by whatever a caller says, through one interface to either database."""

from tickets.search.schema import create_search, drop_search, is_search_object, refill_search

__all__ = ["create_search", "drop_search", "is_search_object", "refill_search"]
