"""The JSON twins against their own description: whatever may be sent is answered as the description says."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from typing import Any

import schemathesis
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as some
from hypothesis.errors import Unsatisfiable
from schemathesis import Case
from schemathesis.checks import load_all_checks
from schemathesis.core.result import Ok
from schemathesis.generation import GenerationMode
from schemathesis.schemas import APIOperation
from schemathesis.specs.openapi.checks import positive_data_acceptance

from tests.web.shops import WebShop, token_of
from tickets.web.gate import COOKIE, TOKEN_HEADER

# What is well formed may still be refused: a code whose check character is wrong, a reason that is missing.
LEFT_OUT: list[Any] = [positive_data_acceptance]
KNOWN_SHARE = 0.85


@dataclass
class Exploration:
    """What was tried of each twin, and what came of it."""

    shop: WebShop
    examples: int
    number: int = 1  # of this run: the same one tries the same
    counts: dict[str, dict[int, int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.chance = random.Random(self.number)

    def explore(self) -> None:
        """Try every twin with what fits its description and what does not. Raises what schemathesis finds."""
        load_all_checks()
        client = self.shop.device("owner")
        device = {COOKIE: client.cookies[COOKIE]}
        token = {TOKEN_HEADER: token_of(client.get("/"))}
        cookie = {"Cookie": f"{COOKIE}={device[COOKIE]}"}
        schema = schemathesis.openapi.from_asgi("/api/openapi.json", self.shop.app, headers=cookie)
        for found in schema.get_all_operations():
            assert isinstance(found, Ok), found
            operation = found.ok()
            for mode in GenerationMode:
                cases = operation.as_strategy(mode, cookies=device, headers=token)
                try:
                    self._try(operation, mode, cases)
                except Unsatisfiable:
                    # Of a question that takes nothing, or any words, nothing can be wrong.
                    assert (mode, operation.method) == (GenerationMode.NEGATIVE, "get"), operation.label

    def _try(
        self,
        operation: APIOperation[Any, Any, Any, Any],
        mode: GenerationMode,
        cases: some.SearchStrategy[Case[Any]],
    ) -> None:

        @seed(self.number)
        @settings(
            max_examples=self.examples,
            deadline=None,
            database=None,
            derandomize=False,
            suppress_health_check=list(HealthCheck),
            phases=(Phase.generate,),
        )
        @given(case=cases)
        def run(case: Case[Any]) -> None:
            if mode is GenerationMode.POSITIVE:
                self._put_in(case)
            response = case.call()
            case.validate_response(response, excluded_checks=LEFT_OUT)
            of = self.counts.setdefault(operation.label, {})
            of[response.status_code] = of.get(response.status_code, 0) + 1

        run()

    def _put_in(self, case: Case[Any]) -> None:
        """Mostly things that the books know: so that more is reached than that there is no such thing."""
        orders = ["OB-1", "OB-2"]
        codes = [code for number in orders for code in self.shop.codes(number)]
        stations = [station.name for station in self.shop.web.settings.station]
        known: dict[str, list[Any]] = {
            "code": [*codes, *codes, *orders],
            "number": orders,
            "station": [*stations, "print", "powder"],
            "good": [None, 1, 2, 3],
            "spoiled": [0, 0, 1],
            "by": [None, "", "Ines"],
            "why": ["", "scorched"],
            "pieces": [None, 1],
        }
        parts: list[Any] = [case.body, case.path_parameters]
        for part in (one for one in parts if isinstance(one, dict)):
            for key in known:
                if key in part and self.chance.random() < KNOWN_SHARE:
                    part[key] = self.chance.choice(known[key])


def explored(shop: WebShop, examples: int, number: int = 1) -> Exploration:
    """A shop with orders in it, explored."""
    shop.scan(shop.take("OB-1", 10_000), "print", good=5_000)
    shop.take("OB-2", 10, verdict="query")
    exploration = Exploration(shop, examples, number)
    exploration.explore()
    return exploration
