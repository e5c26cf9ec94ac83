# SPDX-License-Identifier: LGPL-2.1-or-later
"""Runs the tests of this folder inside the real program, with a real window.

Each ``test_*.py`` here is a script for FreeCAD: nothing of it is imported by
pytest.  Its functions ``test_*`` are listed from the source, the program is
started once per file under Xvfb with a copy of the add-on in a fresh user
folder, `inside.py` runs the functions there and writes one line of JSON for
each, and every function passes or fails as an item of its own.  The program's
exit status says nothing (it is 0 after an uncaught exception), so a test has
passed only where its line says so.
"""

import ast
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parents[2]
TIME_LIMIT = float(os.environ.get("STRAKEPLAN_GUI_SECONDS", "300"))
"""Seconds for one file: a window that waits for an answer never ends by itself."""
SCREEN = "1600x1000x24"
NOT_ADDON = (".*", "__pycache__", "*.pyc", "out")


class GuiFailure(Exception):
    """What went wrong inside the program, as text."""


class GuiFile(pytest.File):
    """One script; started when the first of its functions is due."""

    def collect(self):
        tree = ast.parse(self.path.read_text(encoding="utf-8"), str(self.path))
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                yield GuiItem.from_parent(self, name=node.name)

    def results(self):
        """Results by function name, from one start of the program."""
        if not hasattr(self, "_results"):
            wanted = [i.name for i in self.session.items if i.parent is self]
            self._results, self._story = run_in_program(self.path, wanted)
        return self._results, self._story


class GuiItem(pytest.Item):
    """One function of a script."""

    def runtest(self):
        results, story = self.parent.results()
        result = results.get(self.name)
        if result is None:
            raise GuiFailure(f"{self.name} was not run to its end.\n{story}")
        self.add_report_section("call", "stdout", result["printed"])
        if result["fault"]:
            raise GuiFailure(result["fault"])

    def repr_failure(self, excinfo, style=None):
        if isinstance(excinfo.value, GuiFailure):
            return str(excinfo.value)
        return super().repr_failure(excinfo, style)

    def reportinfo(self):
        return self.path, None, self.name


def pytest_pycollect_makemodule(module_path, parent):
    """Take the place of pytest's own collector, which would import the script."""
    return GuiFile.from_parent(parent, path=Path(module_path))


def user_folder(environment):
    """The program's folder for user data under `environment`: its name differs by version."""
    question = "from strakeplan.host.locate import use_host; print(use_host().getUserAppDataDir())"
    answer = subprocess.run(
        [sys.executable, "-c", question],
        cwd=REPOSITORY,
        env=environment,
        check=True,
        capture_output=True,
        text=True,
    )
    return Path(answer.stdout.splitlines()[-1])


def run_in_program(script, names):
    """Run functions of a script inside FreeCAD.

    Parameters
    ----------
    script : Path
    names : list of str
        Functions to run, in this order.

    Returns
    -------
    results : dict
        Per function ``{"fault": text or "", "printed": text}``; only of those that ended.
    story : str
        How the program ended and what it printed, for those that did not.
    """
    scratch = Path(tempfile.mkdtemp(prefix="strakeplan-gui-"))
    try:
        keep = {k: v for k, v in os.environ.items() if not k.startswith(("XDG_", "FREECAD_", "DISPLAY", "WAYLAND"))}
        runtime = scratch / "runtime"
        runtime.mkdir(mode=0o700)
        environment = keep | {
            "HOME": str(scratch),
            "XDG_RUNTIME_DIR": str(runtime),
            # Chromium inside Qt refuses its sandbox to root and takes the program with it
            "QTWEBENGINE_DISABLE_SANDBOX": "1",
            "QT_QPA_PLATFORM": "xcb",
            "LIBGL_ALWAYS_SOFTWARE": "1",
            "PYTHONDONTWRITEBYTECODE": "1",
        }
        addon = user_folder(environment) / "Mod" / "strakeplan"
        # a copy, not a link: documents restore objects only from folders below Mod
        shutil.copytree(REPOSITORY, addon, ignore=shutil.ignore_patterns(*NOT_ADDON))
        order = scratch / "order.json"
        answers = scratch / "answers.jsonl"
        inside = addon / "tests/gui/inside.py"
        here = addon / script.relative_to(REPOSITORY)
        order.write_text(json.dumps({"script": str(here), "names": names, "answers": str(answers)}))
        environment["STRAKEPLAN_GUI_ORDER"] = str(order)
        # options after the script: Python inside 0.20 takes those before it for its own
        command = ["xvfb-run", "-a", "-s", f"-screen 0 {SCREEN}", "freecad", str(inside), "--write-log"]
        try:
            output = scratch / "output.txt"
            with output.open("wb") as sink:
                process = subprocess.Popen(
                    command,
                    env=environment,
                    cwd=scratch,
                    stdin=subprocess.DEVNULL,
                    stdout=sink,
                    stderr=subprocess.STDOUT,
                    start_new_session=True,
                )
                try:
                    ending = f"The program ended with status {process.wait(TIME_LIMIT)}."
                except subprocess.TimeoutExpired:
                    ending = f"The program was ended after {TIME_LIMIT:g} s."
                finally:
                    end_group(process)
        except FileNotFoundError:
            return {}, "xvfb-run is not installed: on Debian, apt-get install xvfb xauth."
        results, started = {}, "none"
        if answers.exists():
            for line in answers.read_text(encoding="utf-8").splitlines():
                entry = json.loads(line)
                if "started" in entry:
                    started = entry["started"]
                else:
                    results[entry["name"]] = entry
        printed = output.read_text(errors="replace")[-3000:]
        return results, f"{ending} Last function started: {started}. It printed:\n{printed}"
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def end_group(process):
    """End what `process` started and left behind (the program, the X server)."""
    for blow in (signal.SIGTERM, signal.SIGKILL):
        try:
            os.killpg(process.pid, blow)
        except ProcessLookupError:
            break
        try:
            process.wait(5)
        except subprocess.TimeoutExpired:
            continue
