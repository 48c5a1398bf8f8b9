"""``setsolver`` and ``python -m setsolver``: the command line, whose loading a Ctrl-C may end, too."""

import sys

STOPPED = 130
"""128 plus SIGINT, as shells report it (POSIX)."""


def main() -> None:
    """Load the command line and run it."""
    try:
        from setsolver.cli.main import main as run  # noqa: PLC0415 - Ctrl-C while it loads gives no traceback
    except KeyboardInterrupt:
        sys.stderr.write("setsolver: stopped\n")
        sys.exit(STOPPED)
    run()


if __name__ == "__main__":
    main()
