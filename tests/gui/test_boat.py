# SPDX-License-Identifier: LGPL-2.1-or-later
"""As built and half model from their commands, as a user comes to them."""

import os
import tempfile

import FreeCAD
from acting import cancel, document_lined_off, fill, kinds_in, ok, only, open_form, run, until
from gui_session import errors, picture, settle


def whole_girths(document):
    from strakeplan.objects.as_built import drawn_marks_of

    rows = drawn_marks_of(document.getObject("LineOff")).value.table.rows
    return {r.name: r.rabbet for r in rows if r.position is not None}


def test_new_sheet_is_opened_and_filled_in():
    document = document_lined_off(8)
    run("Strakeplan_AsBuilt")
    picture("panel-as-built")
    ok()
    assert errors() == []
    obj = only(document, "AsBuilt")
    settle(0.5)
    picture("sheet-to-fill-in")
    sheet = obj.Readings
    for row, (name, girth) in enumerate(whole_girths(document).items()):
        # the form has the line's row before each rabbet's, and the stem's two first
        sheet.set(f"D{5 + 2 * row}", str(round(girth + 6)))
        assert sheet.get(f"A{5 + 2 * row}") == name and sheet.get(f"B{5 + 2 * row}") == "Rabbet"
    document.recompute()
    print(obj.ReadingCount, list(obj.Notes))
    assert obj.ReadingCount == len(whole_girths(document)) and list(obj.Doubts) == []
    assert errors() == []
    before = len(document.Objects)
    document.undo()
    document.undo()
    print("after undo:", kinds_in(document))
    assert len(document.Objects) <= before


def test_file_with_a_slip():
    """The slip is told of in the report view, and the sheet of readings opens."""
    document = document_lined_off(8)
    girths = {name: round(g + 5) for name, g in whole_girths(document).items()}
    right = str(girths["4"])
    girths["4"] = int(right[0] + right[2] + right[1] + right[3])
    print(right, "->", girths["4"])
    assert abs(int(right) - girths["4"]) > 100
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "tape.csv")
        with open(path, "w", encoding="utf-8") as file:
            file.write("Station,Rabbet\n" + "".join(f"{k},{v}\n" for k, v in girths.items()))
        run("Strakeplan_AsBuilt")
        form = open_form()
        fill(form, Source="A file", File=path)
        picture("panel-as-built-file")
        ok()
    obj = only(document, "AsBuilt")
    print(list(obj.Doubts))
    assert len(obj.Doubts) == 1 and "station 4" in obj.Doubts[0].lower() and "digits swapped" in obj.Doubts[0]
    assert errors() == []
    settle(0.5)
    picture("sheet-readings-judged")
    # a panel is in sight though a sheet is in front
    assert obj.ViewObject.Proxy.doubleClicked(obj.ViewObject)
    until(lambda: open_form().isVisible(), "the panel")
    picture("panel-as-built-edit")
    fill(open_form(), UnmeasuredEnds="As the nearest station")
    ok()
    assert obj.UnmeasuredEnds == "As the nearest station" and errors() == []


def test_faults_are_shown_in_the_panel():
    document = document_lined_off(8)
    before = len(document.Objects)
    run("Strakeplan_AsBuilt")
    form = open_form()
    from PySide import QtGui

    for path, says in (("", "No file is chosen"), ("/nowhere/tape.csv", "There is no file")):
        fill(form, Source="A file", File=path)
        ok()
        message = form.findChild(QtGui.QLabel, "Message").text()
        print(message)
        assert says in message and len(document.Objects) == before
    cancel()
    assert errors() == [] and len(document.Objects) == before


def test_half_model():
    document = document_lined_off(8)
    run("Strakeplan_HalfModel")
    fill(open_form(), Scale="1 in = 1 ft", Skin=1.5)
    picture("panel-half-model")
    ok()
    assert errors() == []
    obj = only(document, "HalfModel")
    print(list(obj.Notes), obj.GreatestAllowance)
    assert [m.Label for m in obj.Members] == ["Half model marks", "Skin allowance"]
    assert obj.GreatestAllowance.Value > 0.5
    obj.Members[0].ViewObject.doubleClicked()
    settle(0.5)
    picture("sheet-half-model")
    FreeCAD.closeDocument(document.Name)
