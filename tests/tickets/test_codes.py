"""Codes: the check character against ISO/IEC 7064, every slip caught, and the forgiving reader."""

from __future__ import annotations

import contextlib
import random
import re
import string
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_2

from tickets import codes
from tickets.codes import near_codes, read_code
from tickets.problems import BadInput

# ISO/IEC 7064 MOD 37-2: examples published with python-stdnum's tests of that standard.
PUBLISHED = [("G123489654321", "Y"), ("A999914123456", "N")]
# The contract's own words, apart from the code under test.
CONTRACT_TICKET = re.compile(r"^[0-9A-HJKMNP-QS-TV-Z][0-9A-HJKMNP-TV-Z]{5}[0-9A-HJKMNP-TV-Z]$")
CONTRACT_RUN = re.compile(r"^R[0-9A-HJKMNP-TV-Z]{3,}[0-9A-HJKMNP-TV-Z]$")

TICKETS = st.integers(0, 2**64).map(lambda seed: str(codes.new_ticket_code(random.Random(seed))))
RUNS = st.integers(0, 2**64).map(lambda seed: str(codes.new_run_code(random.Random(seed))))
ANY_CODE = TICKETS | RUNS


def refusal(text: str) -> BadInput:
    """The problem that reading `text` raises."""
    with pytest.raises(BadInput) as caught:
        read_code(text)
    return caught.value


@pytest.mark.parametrize(("body", "check"), PUBLISHED)
def test_published_check_characters_are_reproduced(body: str, check: str) -> None:
    """The published examples of MOD 37-2 come out as printed."""
    assert codes.check_character(body) == check
    assert codes.passes_check(body + check)


@given(st.text(string.digits + string.ascii_uppercase, min_size=1, max_size=20))
def test_check_characters_agree_with_an_independent_program(body: str) -> None:
    """python-stdnum computes the same check character for any text."""
    assert codes.check_character(body) == mod_37_2.calc_check_digit(body)


@given(TICKETS)
def test_a_new_ticket_code_has_the_form_of_the_contract(code: str) -> None:
    """Seven characters without look-alikes, never beginning with R, ending in the right check character."""
    assert CONTRACT_TICKET.match(code)
    assert mod_37_2.is_valid(code)
    assert codes.is_code(code)
    assert not codes.is_run_code(code)


@given(RUNS)
def test_a_new_run_code_has_the_form_of_the_contract(code: str) -> None:
    """R, three characters or more, and the right check character."""
    assert CONTRACT_RUN.match(code)
    assert mod_37_2.is_valid(code)
    assert codes.is_run_code(code)


def test_new_codes_hardly_ever_repeat_and_use_every_character() -> None:
    """Codes are drawn from the whole alphabet: 3,000 of them repeat at most once and miss no character."""
    drawn = [codes.new_ticket_code(random.Random(seed)) for seed in range(3000)]
    assert len(set(drawn)) >= 2999
    assert set("".join(drawn)) == set(codes.ALPHABET)


@settings(max_examples=60)
@given(ANY_CODE)
def test_every_single_wrong_character_is_caught(code: str) -> None:
    """No code passes with any one of its characters replaced by any other of 0-9 A-Z."""
    for at in range(len(code)):
        for letter in string.digits + string.ascii_uppercase:
            if letter != code[at]:
                assert not codes.passes_check(code[:at] + letter + code[at + 1 :])


@settings(max_examples=300)
@given(ANY_CODE)
def test_every_swap_of_neighbours_and_over_one_is_caught(code: str) -> None:
    """No code passes with two neighbours, or two next but one, swapped."""
    for gap in (1, 2):
        for at in range(len(code) - gap):
            swapped = list(code)
            swapped[at], swapped[at + gap] = swapped[at + gap], swapped[at]
            assert swapped == list(code) or not codes.passes_check("".join(swapped))


WRAPPED = (
    *("{}", "{} ", "\t{}", "{}\r", "{}\n", "{}\r\n", "{}\t", "]Q1{}", "]Q1{}\r\n", "]q3{}", '"{}"', "({})"),
    *("*{}*", "{}.", "Ticket: {}", "ticket no. {}", "\ufeff{}", "{}\0", "http://192.0.2.10:8765/t/{}"),
    *("HTTPS://SHOP.EXAMPLE/T/{}", "https://shop.example/a/t/{}/", "https://shop.example/t/{}?from=phone"),
    *("https://shop.example/t/{}/?a=1&b=2#top", "https://shop.example/t/{}#x", "]Q1http://192.0.2.10/t/{}\r"),
    "httpÖ--192.0.2.10Ö8765-t-{}",  # a scanner set to the American keyboard on a German one
)
TYPED: tuple[Callable[[str], str], ...] = (
    *(str.upper, str.lower, codes.grouped, " ".join, lambda c: codes.grouped(c).replace(" ", "-")),
    *(lambda c: c.replace("0", "o").replace("1", "l"), lambda c: c.replace("0", "O").replace("1", "I")),
)


@given(ANY_CODE, st.sampled_from(WRAPPED), st.sampled_from(TYPED))
def test_a_code_is_read_however_it_is_typed_or_scanned(
    code: str, wrapped: str, typed: Callable[[str], str]
) -> None:
    """Prefixes, addresses, endings, case, groups and look-alikes change nothing."""
    text = wrapped.format(typed(code))
    assert read_code(text) == code
    assert codes.looks_like_code(text)


@given(TICKETS)
def test_the_same_code_scanned_twice_in_a_hurry_is_one(code: str) -> None:
    """A scanner without an ending, or with one, that fires twice gives one code."""
    assert read_code(code + code) == code
    assert read_code(f"{code}\r{code}\r") == code


def test_two_codes_at_once_are_refused() -> None:
    """Nobody guesses which of two scanned codes was meant."""
    one, two = (str(codes.new_ticket_code(random.Random(seed))) for seed in (1, 2))
    assert "Several codes" in refusal(f"{one}\n{two}").says


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no code"),
        ("  \r\n", "no code"),
        ("44G7ZW", "too short"),
        ("44G7ZWQ0", "too long"),
        ("R12", "too short"),
        ("44U7ZWQ", "U is never part"),
        ("44G7ZW*", "too short"),
        ("44G7ZWN", "check character does not fit"),
        ("4G47ZWQ", "check character does not fit"),
        ("OB-1042", "too short"),
        ("٤٤G7ZWQ", "never part"),
        ("http://192.0.2.10/t/", "no code"),
        ("x" * 100_000, "too long"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_is_wrong(text: str, said: str) -> None:
    """The refusal says which thing is wrong, in a sentence of modest length, and what to do."""
    problem = refusal(text)
    assert problem.slug == "code-not-read"
    assert said in problem.says
    assert len(problem.says) < 200
    assert problem.do


@given(st.text(max_size=60))
def test_the_reader_answers_any_text_with_a_right_code_or_a_refusal(text: str) -> None:
    """Nothing that is typed makes it stumble, and what it returns is always a code to the letter."""
    with contextlib.suppress(BadInput):
        assert codes.is_code(read_code(text))
    assert codes.looks_like_code(text) in (True, False)
    near_codes(text)


@pytest.mark.parametrize(
    "text", ["OB-1042", "OB-10421", "2026-117", "Otter Bank", "kit@otterbank.example", "+44 1632 960123", ""]
)
def test_order_numbers_and_names_do_not_look_like_codes(text: str) -> None:
    """What was meant as an order, a name or a phone number isn't scolded for its check character."""
    assert not codes.looks_like_code(text)


def test_a_mistyped_code_still_looks_like_one() -> None:
    """So that the answer is about the slip, and not about an unknown order."""
    assert codes.looks_like_code("44G7ZWN")
    assert codes.looks_like_code("44g 7zw n")
    assert not codes.is_code("44G7ZWN")


@settings(max_examples=100)
@given(TICKETS, st.data())
def test_the_code_that_was_meant_is_among_the_near_ones(code: str, data: st.DataObject) -> None:
    """One wrong, missing or added character or one swap, and the right code is offered, with few others."""
    at = data.draw(st.integers(0, len(code) - 1))
    letter = data.draw(st.sampled_from(codes.ALPHABET))
    slip = data.draw(st.sampled_from(["wrong", "missing", "added", "swapped"]))
    typed = {
        "wrong": code[:at] + letter + code[at + 1 :],
        "missing": code[:at] + code[at + 1 :],
        "added": code[:at] + letter + code[at:],
        "swapped": code[:at] + code[at + 1 : at + 2] + code[at] + code[at + 2 :],
    }[slip]
    if typed != code:
        offered = near_codes(typed)
        assert code in offered
        assert len(offered) <= 16
        assert all(codes.is_code(c) for c in offered)
        assert near_codes(typed, known={code}) == (code,)


def test_near_codes_of_a_right_code_are_other_codes() -> None:
    """A right code isn't offered as its own correction."""
    code = str(codes.new_ticket_code(random.Random(3)))
    assert code not in near_codes(code)
