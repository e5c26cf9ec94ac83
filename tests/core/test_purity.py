# SPDX-License-Identifier: LGPL-2.1-or-later
"""The core is numpy and scipy alone: it loads neither the host nor its window."""

import os
import subprocess
import sys
from pathlib import Path

import strakeplan.core

TOP = Path(strakeplan.core.__file__).resolve().parents[2]
FOREIGN = ("FreeCAD", "FreeCADGui", "Part", "Sketcher", "Import", "PySide", "PySide2", "PySide6", "matplotlib")


def modules():
    for path in sorted((TOP / "strakeplan/core").rglob("*.py")):
        name = ".".join(path.relative_to(TOP).with_suffix("").parts)
        yield name.removesuffix(".__init__")


def test_core_loads_neither_host_nor_window():
    """Every core module is imported in a Python of its own, where the host can be had."""
    names = list(modules())
    code = (
        "import importlib, sys\n"
        "from strakeplan.host.locate import candidate_folders\n"
        "sys.path.extend(candidate_folders())\n"
        f"for name in {names!r}:\n"
        "    importlib.import_module(name)\n"
        f"print(*sorted(set({FOREIGN!r}) & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=TOP, env=os.environ, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    print(len(names), "core modules; foreign ones loaded:", done.stdout.strip() or "none")
    assert len(names) > 20
    assert done.stdout.split() == []
