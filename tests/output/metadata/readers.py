"""Independent readers of metadata: Debian's exiv2 and exiftool."""

import json
import shutil
import subprocess

import pytest

needs_exiftool = pytest.mark.skipif(
    shutil.which("exiftool") is None, reason="no exiftool here (Debian: apt-get install libimage-exiftool-perl)"
)
needs_exiv2 = pytest.mark.skipif(shutil.which("exiv2") is None, reason="no exiv2 here (Debian: apt-get install exiv2)")


def exiftool(path):
    """Return XMP as exiftool reads it, structures kept."""
    command = ["exiftool", "-json", "-struct", "-xmp:all", "-icc_profile:ProfileDescription", str(path)]
    return json.loads(subprocess.run(command, capture_output=True, check=True, text=True).stdout)[0]


def exiv2(path):
    """Return XMP properties as exiv2 reads them; a warning of it is an error here."""
    done = subprocess.run(["exiv2", "-PXkt", str(path)], capture_output=True, check=True, text=True)
    assert done.stderr == ""
    lines = (line.split(maxsplit=1) for line in done.stdout.splitlines() if line.strip())
    return {line[0]: line[1].strip() if len(line) > 1 else "" for line in lines}
