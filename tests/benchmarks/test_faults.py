"""A short campaign of faults: nothing is lost, changed, left over or told by a traceback."""

import subprocess
import sys
from pathlib import Path

import pytest

CAMPAIGN = Path(__file__).parents[2] / "benchmarks" / "faults" / "campaign.py"


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="kills are POSIX signals")
def test_a_short_campaign_keeps_everything():
    words = ("--pictures", "120", "--documents", "200", "--kills", "3", "--seed", "5")
    done = subprocess.run([sys.executable, CAMPAIGN, *words], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    assert "| frame |" in done.stdout
    assert "| index read |" in done.stdout
    assert "| set folders, each whole |" in done.stdout
