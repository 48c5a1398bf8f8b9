"""Commands that pictures are made with."""

import shutil
import subprocess

__all__ = ["command", "run"]


def command(name: str) -> str:
    """Return where a command is. Raises FileNotFoundError where it is not installed."""
    found = shutil.which(name)
    if found is None:
        message = f"the command {name!r} is not on the path; install it first"
        raise FileNotFoundError(message)
    return found


def run(name: str, *arguments: str) -> str:
    """Run a command and return what it prints. Raises CalledProcessError where it fails."""
    done = subprocess.run([command(name), *arguments], check=True, capture_output=True)  # noqa: S603 - our own commands and files
    return done.stdout.decode()
