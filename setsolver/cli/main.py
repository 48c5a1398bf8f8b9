"""The command group: verbs are imported when called, errors become sentences and exit codes here and nowhere else."""

from __future__ import annotations

import signal
import sys
from contextlib import suppress
from functools import cache
from importlib import import_module
from math import inf
from pkgutil import iter_modules

import click

import setsolver.cli as package
from setsolver import __version__
from setsolver.cli.streams import give_up, inert_streams
from setsolver.errors import BadInput, SetsolverError
from setsolver.interrupts import remembered

__all__ = ["cli", "main", "verbs"]

INTERRUPTED = 130
"""Exit code after Ctrl-C: 128 plus SIGINT, as shells report it (POSIX, exit status of a signalled command)."""


class Verbs(click.Group):
    """A group that imports a verb only when it is asked for, so that ``--help`` never waits for a solver to load."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the verbs in the order of use."""
        del ctx
        return list(verbs())

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return one verb, or None for an unknown one."""
        del ctx
        if cmd_name not in _files():
            return None
        command: click.Command | None = getattr(import_module(f"{package.__name__}.{cmd_name}"), "command", None)
        return command


def _files() -> list[str]:
    return [found.name for found in iter_modules(package.__path__)]


@cache
def verbs() -> tuple[str, ...]:
    """Return every verb, in the order in which a person meets them: each file of this folder that exports ``command``.

    ``ORDER`` of a file says where it stands; one without comes last.
    """
    modules = {name: import_module(f"{package.__name__}.{name}") for name in _files()}
    found = [name for name, module in modules.items() if hasattr(module, "command")]
    return tuple(sorted(found, key=lambda name: (getattr(modules[name], "ORDER", inf), name)))


@click.group(cls=Verbs, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, "--version", prog_name="setsolver", message="%(prog)s %(version)s")
def cli() -> None:
    """Find the best set of photographs under written rules, prove it, and explain it in points.

    \b
    Example:
      setsolver suggest demo_catalog --brief wall-three

    Exit codes: 0 done, 1 no set under these rules, 2 bad use or bad input. Originals are never changed.
    """


def main() -> None:
    """Run the command line; every error of the tree ends in one sentence on stderr and its exit code."""
    with inert_streams():
        code = _code()
    sys.exit(code)


def _code() -> int:
    try:
        with remembered():
            code = cli.main(standalone_mode=False)
        sys.stdout.flush()
    except SetsolverError as error:
        return _told(str(error), error.exit_code)
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except (KeyboardInterrupt, click.Abort):
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # a second one would only write a traceback over the end
        return _told("stopped; what was finished is kept", INTERRUPTED)
    except (BrokenPipeError, SystemExit):  # click's word for the same
        give_up(sys.stdout)  # a reader such as `head` went away: not an error of ours, and no traceback at exit
        code = 0
    except MemoryError:
        return _told("not enough memory; close other programs, or give fewer --workers", BadInput.exit_code)
    except OSError as error:
        give_up(sys.stdout)  # it may be what cannot be written
        where = f" ({error.filename})" if error.filename else ""
        return _told(
            f"the system reports {error.strerror or error!r}{where}; mend that and try again", BadInput.exit_code
        )
    return code if isinstance(code, int) else 0


def _told(says: str, code: int) -> int:
    with suppress(OSError):  # where not even that can be written, the code says it
        click.echo(f"setsolver: {says}", err=True)
    return code
