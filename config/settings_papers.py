"""Settings of job tickets and other papers, and of the program that prints them."""

from __future__ import annotations

import re
from typing import Literal

from pydantic import Field, field_validator

from config.section import Section

FILE, CODE = "{file}", "{code}"
_PLACEHOLDER = re.compile(r"\{[^{}]*\}")


class Papers(Section):
    """Job tickets and other papers. `print_command` is a program and its arguments, never a shell's line."""

    ticket_form: Literal["a5", "label"]
    font_files: tuple[str, ...]
    print_command: tuple[str, ...]
    print_seconds: float = Field(gt=0)

    @field_validator("print_command")
    @classmethod
    def _names_a_program_and_the_file(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        if not value:
            return value
        if not value[0].strip() or _PLACEHOLDER.search(value[0]):
            raise ValueError("the first is the program, such as lp")
        if not any(FILE in one for one in value[1:]):
            raise ValueError(f"no argument has {FILE}, where the paper's path goes")
        for one in value[1:]:
            for found in _PLACEHOLDER.findall(one):
                if found not in (FILE, CODE):
                    raise ValueError(f"{found} is not known: there are {FILE} and {CODE}")
        return value
