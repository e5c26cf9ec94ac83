# SPDX-License-Identifier: LGPL-2.1-or-later
"""The host's modules are found, and what is said where they are not."""

import os
import subprocess
import sys
from pathlib import Path

import FreeCAD
import pytest

from strakeplan.core.errors import PlanError
from strakeplan.host import locate

TOP = Path(__file__).resolve().parents[2]


def ask(code, **environment):
    """Run code in a Python of its own; returns what it ended with."""
    return subprocess.run(
        [sys.executable, "-c", code], cwd=TOP, env=os.environ | environment, capture_output=True, text=True
    )


def test_found_without_numpy():
    done = ask(
        "import sys\n"
        "from strakeplan.host.locate import use_host\n"
        "host = use_host()\n"
        "assert 'numpy' not in sys.modules\n"
        "print('.'.join(host.Version()[:3]))"
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.split()[-1] == ".".join(FreeCAD.Version()[:3])


def test_finds_nothing_to_do_twice():
    path = list(sys.path)
    assert locate.use_host() is FreeCAD
    assert sys.path == path


def test_named_folder_is_used_and_not_guessed_around(monkeypatch, tmp_path):
    monkeypatch.delenv(locate.ENVIRONMENT, raising=False)
    folder = locate.find_host()
    monkeypatch.setenv(locate.ENVIRONMENT, folder)
    assert locate.find_host() == folder
    monkeypatch.setenv(locate.ENVIRONMENT, str(tmp_path))
    with pytest.raises(PlanError) as caught:
        locate.find_host()
    print(caught.value)
    assert str(tmp_path) in str(caught.value) and locate.ENVIRONMENT in caught.value.remedy


def test_nothing_found_says_what_to_install(monkeypatch):
    monkeypatch.delenv(locate.ENVIRONMENT, raising=False)
    monkeypatch.setattr(locate, "candidate_folders", list)
    with pytest.raises(PlanError) as caught:
        locate.find_host()
    print(caught.value)
    assert "freecad-python3" in caught.value.remedy


def test_module_that_cannot_be_loaded(tmp_path):
    (tmp_path / "FreeCAD.so").write_bytes(b"built for another Python")
    done = ask(
        "from strakeplan.core.errors import PlanError\n"
        "from strakeplan.host.locate import use_host\n"
        "try:\n"
        "    use_host()\n"
        "except PlanError as error:\n"
        "    print(error)",
        STRAKEPLAN_FREECAD_LIB=str(tmp_path),
    )
    print(done.stdout)
    assert "cannot load it" in done.stdout and str(tmp_path) in done.stdout


def test_shims_and_own_folder_are_offered():
    done = ask(
        "from strakeplan.host.locate import use_host\n"
        "folders = use_host().__ModDirs__\n"
        "from PySide import QtCore\n"
        "print('Qt', QtCore.qVersion())\n"
        "print(*folders, sep='\\n')"
    )
    print(done.stdout)
    assert done.returncode == 0, done.stderr
    assert str(TOP) in done.stdout.splitlines()
