"""Finding orders by whatever a caller says, through one interface to either database."""

from tickets.search.index import index_order
from tickets.search.schema import create_search, drop_search, is_search_object, refill_search

__all__ = ["create_search", "drop_search", "index_order", "is_search_object", "refill_search"]
