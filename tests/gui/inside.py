# SPDX-License-Identifier: LGPL-2.1-or-later
"""Runs test functions inside FreeCAD's window; started by this folder's conftest.py.

A test may use these::

    from gui_session import settle, errors, picture, answer_dialogs

and fails by an exception, or by any error the program reports meanwhile
(``FreeCAD.Console.PrintError``, a traceback in a command or in execute()) that
the test did not take with `errors`.
"""

import contextlib
import importlib.util
import io
import json
import os
import sys
import time
import traceback
import types

import FreeCAD
import FreeCADGui
from PySide import QtCore, QtGui

with open(os.environ["STRAKEPLAN_GUI_ORDER"], encoding="utf-8") as _file:
    ORDER = json.load(_file)
_read = 0


def settle(seconds=0.2):
    """Let the window work off its events for `seconds`."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        QtGui.QApplication.processEvents(QtCore.QEventLoop.AllEvents, 50)
        time.sleep(0.005)


def errors():
    """Error lines the program reported since the last call, and forget them.

    They are read from the program's log, which has its start too.
    """
    global _read
    with open(FreeCAD.ConfigGet("LoggingFileName"), encoding="utf-8", errors="replace") as log:
        log.seek(_read)
        text = log.read()
        _read = log.tell()
    found, taking = [], False
    for line in text.splitlines():
        kind = line[:5]
        if kind in ("Err: ", "Wrn: ", "Log: ", "Msg: "):
            taking = kind == "Err: "
        if taking and line.strip():
            found.append(line[5:] if kind == "Err: " else line)
    return found


def picture(name):
    """Save the window as PNG where STRAKEPLAN_GUI_PICTURES says; None where it does not."""
    folder = os.environ.get("STRAKEPLAN_GUI_PICTURES")
    if not folder:
        return None
    settle()
    os.makedirs(folder, exist_ok=True)
    target = os.path.join(folder, f"{'.'.join(FreeCAD.Version()[:2])}-{name}.png")
    FreeCADGui.getMainWindow().grab().save(target)
    return target


def answer_dialogs(button=None):
    """Answer every message box that opens from now on; returns the list of their texts.

    Parameters
    ----------
    button : optional
        A standard button; the box's default (or escape) without it.
    """
    texts = []

    def look():
        box = QtGui.QApplication.activeModalWidget()
        if isinstance(box, QtGui.QMessageBox):
            texts.append(box.text())
            if button is not None and box.button(button) is not None:
                box.button(button).click()
            else:
                box.accept()

    timer = QtCore.QTimer(FreeCADGui.getMainWindow())
    timer.timeout.connect(look)
    timer.start(100)
    answer_dialogs.timers.append(timer)
    return texts


answer_dialogs.timers = []


def _offer_helpers():
    session = types.ModuleType("gui_session")
    for helper in (settle, errors, picture, answer_dialogs):
        setattr(session, helper.__name__, helper)
    sys.modules["gui_session"] = session


def _load(path):
    sys.path.insert(0, os.path.dirname(path))  # what the tests share lies beside them
    spec = importlib.util.spec_from_file_location("strakeplan_gui_test", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _put(entry):
    with open(ORDER["answers"], "a", encoding="utf-8") as answers:
        answers.write(json.dumps(entry) + "\n")


def _run_one(name, module, load_fault):
    printed, fault = io.StringIO(), load_fault
    if not fault:
        with contextlib.redirect_stdout(printed):
            try:
                getattr(module, name)()
                settle()
            except BaseException:
                fault = traceback.format_exc()
    for timer in answer_dialogs.timers:
        timer.stop()
    answer_dialogs.timers.clear()
    reported = errors()
    if reported and not fault:
        fault = f"{name} left errors in the report view:\n" + "\n".join(reported)
    elif reported:
        fault += "\nThe report view has:\n" + "\n".join(reported)
    FreeCADGui.Control.closeDialog()  # a panel that a failed test left open
    for doc in list(FreeCAD.listDocuments()):
        FreeCAD.closeDocument(doc)
    _put({"name": name, "fault": fault, "printed": printed.getvalue()})


def _run_all():
    _offer_helpers()
    module, load_fault = None, ""
    try:
        module = _load(ORDER["script"])
    except BaseException:
        load_fault = traceback.format_exc()
    for name in ORDER["names"]:
        _put({"started": name})
        _run_one(name, module, load_fault)
    # no question whether to save: nothing of this session is kept
    os._exit(0)


QtCore.QTimer.singleShot(1000, _run_all)
