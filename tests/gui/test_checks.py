# SPDX-License-Identifier: LGPL-2.1-or-later
"""Strake checks and the wood table from their commands, as a user comes to them."""

from acting import document_lined_off, fill, ok, only, open_form, run, until
from gui_session import errors, picture, settle


def test_checks_from_the_command():
    from PySide import QtGui

    from strakeplan.objects.job import limits_of

    document = document_lined_off()
    before = len(document.Objects)
    run("Strakeplan_StrakeChecks")
    form = open_form()
    picture("panel-strake-checks")
    button = form.findChild(QtGui.QToolButton, "Limits:springing")
    hidden = form.findChild(QtGui.QWidget, "LimitForce")
    assert not hidden.isVisible()
    button.click()
    settle()
    assert hidden.isVisible()
    form.findChild(QtGui.QToolButton, "PlanksSection").click()
    settle()
    picture("panel-strake-checks-springing")
    fill(form, Thickness=25.0, LimitForce=1500000.0)  # 1500 N in the host's own units
    ok()
    assert errors() == []
    obj = only(document, "StrakeChecks")
    print(obj.Sentence, limits_of(obj))
    assert limits_of(obj).force == 1500.0 and limits_of(obj).twist_in_all > 1.0 and obj.Thickness.Value == 25.0
    settle(0.5)
    picture("strake-report")
    next(m for m in obj.Members if m.FilledAs == "Strakes").ViewObject.doubleClicked()
    settle(0.5)
    picture("sheet-strakes")
    assert obj.ViewObject.Proxy.doubleClicked(obj.ViewObject)
    until(lambda: open_form().isVisible(), "the panel")
    fill(open_form(), Grade=0.0)
    ok()
    said = open_form().findChild(QtGui.QLabel, "Message").text()
    print(said)
    told = errors()  # the host's report view has it too
    print(told)
    assert "grade factor" in said and any("grade factor" in line for line in told)
    fill(open_form(), Grade=0.8)
    ok()
    assert errors() == [] and obj.Grade == 0.8
    document.undo()
    # a cell that held a whole number and then a fraction: the host says so, and works it out again
    told = errors()
    print(told)
    assert all("bad_cast" in line for line in told)
    document.undo()
    assert len(document.Objects) == before


def test_wood_table():
    document = document_lined_off()
    run("Strakeplan_WoodTable")
    settle(0.5)
    picture("sheet-wood")
    assert document.getObject("WoodTable").get("A1") == "name" and errors() == []
