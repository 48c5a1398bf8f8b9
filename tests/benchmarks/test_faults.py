"""A short campaign of faults: nothing is lost, changed, left over or told by a traceback."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

CAMPAIGN = Path(__file__).parents[2] / "benchmarks" / "faults" / "campaign.py"


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="kills are POSIX signals")
def test_a_short_campaign_keeps_everything():
    words = ("--pictures", "60", "--documents", "80", "--kills", "2", "--seed", "5")
    done = subprocess.run([sys.executable, CAMPAIGN, *words], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    assert "| frame |" in done.stdout
    assert "| index read |" in done.stdout
    assert "| set folders, each whole |" in done.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="kills are POSIX signals")
def test_runs_of_a_campaign_behind_a_shell_hear_its_signals():
    """POSIX shells let commands after ``&`` ignore SIGINT, nohup SIGHUP (XCU 2.11 and nohup); children inherit that."""
    deaf = (
        "import signal, subprocess, sys\n"
        "for one in (signal.SIGINT, signal.SIGHUP): signal.signal(one, signal.SIG_IGN)\n"
        "from kills import heed_signals\n"
        "heed_signals()\n"
        "hears = 'import signal as s; print(s.SIG_IGN in map(s.getsignal, (s.SIGINT, s.SIGHUP, s.SIGTERM)))'\n"
        "subprocess.run([sys.executable, '-c', hears])\n"
    )
    path = f"{CAMPAIGN.parent}{os.pathsep}{CAMPAIGN.parents[2]}"
    env = os.environ | {"PYTHONPATH": path}
    done = subprocess.run([sys.executable, "-c", deaf], capture_output=True, text=True, check=True, env=env)
    assert done.stdout == "False\n"
