"""The grammar of the command line; `commands.py` does what it says.

Standard library only: help, and the answer to a mistyped command, come before anything is installed.
"""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path

PAPERS = ("A4", "letter")


def parser() -> argparse.ArgumentParser:
    """Make the parser of `python3 -m app`."""
    grammar = argparse.ArgumentParser(
        prog="python3 -m app",
        description="From a survey of the drums in a chemical store to a pre-plan for the crew that is called there.",
        epilog="Exit status: 0 done; 2 the input is not what was expected, and nothing was written; "
        "3 the machine lacks something that set-up may not install.",
        allow_abbrev=False,
    )
    commands = grammar.add_subparsers(dest="command", metavar="COMMAND", required=True)

    demo = _add(commands, "demo", "load the invented demo sites, assess them, write their pre-plans and serve them")
    demo.add_argument("--no-serve", action="store_true", help="stop when the pre-plans are written")
    demo.add_argument(
        "--out", type=Path, metavar="DIR", help="folder for the results (default: demo in the data folder)"
    )
    demo.add_argument("--port", type=_port, help="port to listen on, on this machine only")
    _add_judgement_options(demo)

    serve = _add(commands, "serve", "run the service")
    serve.add_argument("--host", help="network address to listen on (default: this machine only)")
    serve.add_argument("--port", type=_port, help="port to listen on")

    assess = _add(commands, "assess", "assess one survey file without a server: maps, assessment and pre-plan")
    assess.add_argument("file", type=Path, metavar="FILE", help="the survey file")
    assess.add_argument("--out", type=Path, metavar="DIR", required=True, help="folder for the results")
    _add_judgement_options(assess)

    schema = _add(commands, "schema", "print the JSON Schema of the survey file")
    schema.add_argument("--out", type=Path, metavar="FILE", help="write it to a file instead")

    _add(commands, "migrate", "make the database, or bring it up to date")
    _add(commands, "version", "print the version")
    return grammar


def _add(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], name: str, says: str
) -> argparse.ArgumentParser:
    return commands.add_parser(name, help=says, description=says[0].upper() + says[1:] + ".", allow_abbrev=False)


def _add_judgement_options(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--as-of", type=_date, metavar="DATE", help="judge as on this day, YYYY-MM-DD (default: today)"
    )
    command.add_argument("--paper", choices=PAPERS, default=PAPERS[0], help="paper size (default: %(default)s)")


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"expected a day as YYYY-MM-DD, found {text!r}") from None


def _port(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) <= 5 and 1 <= int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"expected a port from 1 to 65535, found {text!r}")
    return int(text)
