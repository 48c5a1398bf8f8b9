"""Folders that cannot be listed."""

import os


def close_folder(monkeypatch, name):
    """Refuse to list folders of this name; permission bits would refuse nothing to a privileged user."""
    real = os.scandir

    def scandir(where):
        if str(where).endswith(name):
            raise PermissionError(13, "Permission denied", str(where))
        return real(where)

    monkeypatch.setattr(os, "scandir", scandir)
