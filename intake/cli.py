"""The command line `filmdocket`: finds the command, and turns every kind of no into words and a status."""

from __future__ import annotations

import importlib
import sys
import traceback
from collections.abc import Sequence

import typer

from config.settings import SettingsProblem
from tickets.languages import ENGLISH, speaking
from tickets.problems import Exit, SetupProblem, ShopProblem

# The rooms in the order of the help, with their commands: only the one that is asked for is imported.
ROOMS = {
    "house": ("init", "watch", "doctor", "version"),
    "checking": ("check",),
    "testing": ("chart", "limits"),
    "filming": ("film",),
    "floor": ("scan", "undo"),
    "desk": ("hold", "release", "cancel", "change"),
    "dispatching": ("remake", "packing"),
    "parceling": ("shelf", "parcel"),
    "telling": ("messages", "late"),
    "asking": ("where", "orders", "inbox"),
    "promising": ("promise",),
    "money": ("cost", "quote", "stock"),
    "papers": ("papers",),
    "pages": ("serve", "device"),
    "access": ("certificate", "link"),
    "people": ("people",),
    "keeping": ("backup", "restore", "verify", "move-database"),
}


def command_line(word: str = "") -> typer.Typer:
    """The commands of the room that knows this first word, which is the whole of what it needs; else all."""
    app = typer.Typer(
        name="filmdocket",
        help="Order intake, artwork preflight and job tickets for a direct-to-film print shop.",
        no_args_is_help=True,
        add_completion=False,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,  # plain help: no rich import before a command needs it
    )
    app.callback()(_keep_its_name)
    for room in [room for room, words in ROOMS.items() if word in words] or ROOMS:
        importlib.import_module(f"intake.commands.{room}").add_commands(app)
    return app


def _keep_its_name() -> None:
    # Without it the only command of a room would be taken for the program itself.
    return


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status; everything that goes wrong is told on stderr in words."""
    speak_utf8()
    words = list(sys.argv[1:] if argv is None else argv)
    try:
        with speaking("" if words[:1] in (["watch"], ["serve"]) else ENGLISH):
            outcome = command_line(words[0] if words else "")(args=words, standalone_mode=False)
    except ShopProblem as problem:
        tell_problem(problem)
        return int(problem.exit_status)
    except SettingsProblem as wrong:
        tell_problem(SetupProblem("settings-wrong", str(wrong), "Mend the named settings and run it again."))
        return int(Exit.CANNOT)
    except typer.Exit as asked:
        return asked.exit_code
    except (KeyboardInterrupt, typer.Abort):
        sys.stderr.write("Stopped.\n")
        return 130
    except BrokenPipeError:
        return 0  # the reader of our output (head, a pager) has seen enough
    except Exception as error:
        from intake.disk import DISK_TROUBLE, disk_problem

        if isinstance(error, OSError) and error.errno in DISK_TROUBLE:
            tell_problem(disk_problem(error))
            return int(Exit.CANNOT)
        return tell_fault(error)
    return int(outcome or 0)


def tell_fault(error: Exception) -> int:
    """Usage errors end as click says them; anything else is a bug: its traceback, and a sentence."""
    show = getattr(error, "show", None)
    if callable(show) and hasattr(error, "exit_code"):
        show()
        return int(error.exit_code)
    traceback.print_exc()
    sys.stderr.write(
        "\nunexpected: filmdocket has met something that it was not built for: a fault in the program. "
        "Nothing that was taken in is lost. Please keep the lines above and report them.\n"
    )
    return int(Exit.BUG)


def tell_problem(problem: ShopProblem) -> None:
    """One sentence on what is wrong, one on what to do, and the word to look up in the README."""
    sys.stderr.write(f"{problem.says}\n")
    if problem.do:
        sys.stderr.write(f"{problem.do}\n")
    sys.stderr.write(f"(README, problems: {problem.slug})\n")


def speak_utf8() -> None:
    """Customers' names are in all scripts, also where the console's own encoding is older than that."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(encoding="utf-8", errors="backslashreplace")


if __name__ == "__main__":
    sys.exit(main())
