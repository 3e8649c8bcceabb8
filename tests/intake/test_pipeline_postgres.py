"""What rounds of the intake promise holds with the books on a PostgreSQL server too."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

from intake.single import only_one
from tests.intake import test_pipeline, test_pipeline_troubles, test_pipeline_zips
from tests.intake.shops import Bench
from tests.stores import Server
from tickets.problems import ShopProblem

pytestmark = pytest.mark.postgres

PROMISES: tuple[Callable[[Bench], None], ...] = (
    test_pipeline.test_an_order_and_its_artwork_are_taken_once_they_have_settled,
    test_pipeline.test_the_same_order_dropped_again_is_a_duplicate,
    test_pipeline.test_the_same_number_with_other_content_is_a_conflict_for_a_person,
    test_pipeline.test_an_old_name_with_two_contents_is_a_question,
    test_pipeline.test_corrected_artwork_alone_revises_an_item_that_is_queried,
    test_pipeline.test_other_artwork_for_an_item_in_work_is_a_conflict,
    test_pipeline.test_a_corrected_artwork_is_the_one_that_later_orders_mean,
    test_pipeline_troubles.test_an_unfinished_file_waits_its_grace_is_refused_and_judged_again,
    test_pipeline_troubles.test_a_name_that_is_no_text_goes_the_same_way_as_all_others,
    test_pipeline_zips.test_orders_of_one_zip_are_taken_once_even_over_a_restart,
)


@pytest.fixture
def postgres_bench(new_bench: Callable[..., Bench], postgres_server: Server) -> Iterator[Bench]:
    """A shop whose books are on a server."""
    url = postgres_server.make(postgres_server.template)
    yield new_bench(f'[database]\nurl = "{url}"\n')
    postgres_server.drop(url)


@pytest.mark.parametrize("promise", PROMISES, ids=lambda p: p.__name__.removeprefix("test_"))
def test_it_holds_on_postgresql_too(postgres_bench: Bench, promise: Callable[[Bench], None]) -> None:
    """Queries and transactions mean the same on both databases."""
    assert postgres_bench.shop.store.dialect == "postgresql"
    promise(postgres_bench)


def test_two_shop_folders_cannot_take_in_for_the_same_books(
    new_bench: Callable[..., Bench], postgres_server: Server
) -> None:
    """Two machines: the lock lies in the database then."""
    url = postgres_server.make(postgres_server.template)
    one, two = (new_bench(f'[database]\nurl = "{url}"\n') for _ in range(2))
    with only_one(one.shop), pytest.raises(ShopProblem) as caught, only_one(two.shop):
        pass
    assert caught.value.slug == "intake-elsewhere"
    with only_one(two.shop):
        pass
    postgres_server.drop(url)
