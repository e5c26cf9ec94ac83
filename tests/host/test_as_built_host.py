# SPDX-License-Identifier: LGPL-2.1-or-later
"""As built and half model as document objects: sheets and files in, sheets out, followed and saved."""

import FreeCAD
import pytest
from demo_hull import demo_patch_data

from strakeplan.core.asbuilt.asbuilt import as_built
from strakeplan.core.asbuilt.readings import read_rows, rows_of_csv
from strakeplan.core.errors import PlanError
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.core.tables.units import feet_inches_sixteenths
from strakeplan.host.measured import read_csv, sheet_rows
from strakeplan.host.shapes import face_of
from strakeplan.host.sheets import cell_name
from strakeplan.objects import make
from strakeplan.objects.as_built import built_of, drawn_marks_of
from strakeplan.objects.half_model import half_model_of


class Boat:
    """The demonstration hull, lined off."""

    def __init__(self, document):
        self.document = document
        hull = document.addObject("Part::Feature", "Hull")
        hull.Shape = face_of(SplinePatch(*demo_patch_data()))
        self.surface = make.make_planked_surface(hull, HalfSiding="37.5 mm", StationSpacing="1 m")
        self.line = make.make_taut_line(self.surface, BowGirth="1050 mm", SternGirth=950)
        self.line_off = make.make_line_off(self.line, Strakes=10)

    def drawn(self):
        return drawn_marks_of(self.line_off).value

    def whole(self):
        """Drawn girths to the rabbet by station."""
        return {r.name: r.rabbet for r in self.drawn().table.rows if r.position is not None}


@pytest.fixture
def boat(document):
    return Boat(document)


def cells(sheet):
    """A sheet as rows of texts and numbers; a length is a text such as '8 mm'."""
    return sheet_rows(sheet)


def member(obj, key):
    return next(m for m in obj.Members if m.FilledAs == key)


def stale(document):
    return [(o.Label, o.State) for o in document.Objects if o.State != ["Up-to-date"]]


def test_form_is_made_filled_in_and_followed(boat):
    """A new sheet waits to be filled in; what is typed there moves the marks."""
    obj = make.make_as_built(boat.line_off)
    assert obj.isValid() and obj.ReadingCount == 0 and stale(boat.document) == []
    sheet = obj.Readings
    rows = cells(sheet)
    print(rows[0], rows[1], rows[2], "...", len(rows), "rows;", list(obj.Notes))
    assert rows[0][:4] == ["Station", "Mark", "Drawn, mm", "Measured"]
    marks = sum(r.rabbet is not None for r in boat.drawn().table.rows)
    assert len(rows) - 1 == marks * 2  # the line comes to every station here, and to both ends
    for k, row in enumerate(rows[1:], 1):
        if row[1] == "Rabbet" and row[0] not in ("Stem", "Stern"):
            sheet.set(cell_name(k, 3), f"={boat.whole()[row[0]] + 8.0!r} mm")
    boat.document.recompute()
    assert stale(boat.document) == []
    built = built_of(obj).value
    print(list(obj.Notes), obj.ReadingCount, list(obj.Doubts))
    assert obj.ReadingCount == len(boat.whole()) and len(obj.Doubts) == 0
    for row in built.table.rows[1:-1]:
        assert row.rabbet == pytest.approx(boat.whole()[row.name] + 8.0, abs=1e-6)
    differences = cells(member(obj, "Differences"))
    print(differences[0][:4], differences[1][:4], differences[-1][:4])
    assert differences[-1][0] == "Rabbet" and differences[-1][2] == "8 mm"


def test_doubted_reading_is_pointed_out_and_set_aside(boat):
    whole = boat.whole()
    rows = [["Station", "Rabbet"]] + [[name, round(g)] for name, g in whole.items()]
    rows[5][1] += 100
    text = "\n".join(",".join(map(str, row)) for row in rows)
    sheet = boat.document.addObject("Spreadsheet::Sheet", "Tape")
    for r, row in enumerate(rows_of_csv(text)):
        for c, value in enumerate(row):
            sheet.set(cell_name(r, c), value if r and c else "'" + value)
    boat.document.recompute()
    obj = make.make_as_built(boat.line_off, sheet)
    print(list(obj.Doubts))
    assert len(obj.Doubts) == 1 and "slip of 100 mm" in obj.Doubts[0] and "row 6" in obj.Doubts[0]
    judged = cells(member(obj, "Readings"))
    print(judged[0], judged[5])
    assert len(judged) == len(rows) and "slip of 100 mm" in judged[5][8]
    sheet.set("B6", f"({rows[5][1]})")
    boat.document.recompute()
    judged = cells(member(obj, "Readings"))
    print(judged[5])
    assert obj.SetAsideCount == 1 and obj.ReadingCount == len(whole) and len(obj.Doubts) == 0
    assert judged[5][7].startswith("no")


def test_file_of_readings(boat, tmp_path):
    """Feet, inches and sixteenths, with semicolons, as an office program writes it."""
    path = tmp_path / "tape.csv"
    lines = ["Station;Mark;Measured;Set aside"]
    for name, girth in boat.whole().items():
        lines.append(f'{name};Rabbet;"{feet_inches_sixteenths(girth + 10.0).replace(chr(34), chr(34) * 2)}";')
    path.write_text("\n".join(lines), encoding="utf-8-sig")
    obj = make.make_as_built(boat.line_off, file=str(path))
    built = built_of(obj).value
    direct = as_built(boat.drawn(), read_rows(read_csv(str(path)), boat.drawn()))
    print(cells(obj.Readings)[1], obj.ReadingCount)
    assert obj.Readings.Label == "Tape readings" and obj.ReadingCount == len(boat.whole())
    assert built.table.rows == direct.table.rows
    assert all(abs(j.difference - 10.0) <= 25.4 / 32 for j in built.judged)


def test_faults_leave_nothing_behind(boat, tmp_path):
    count = len(boat.document.Objects)
    bad = tmp_path / "bad.csv"
    bad.write_text("Station,Rabbet\n99,1800\n", encoding="utf-8")
    for file in (str(tmp_path / "none.csv"), str(bad)):
        with pytest.raises(PlanError) as fault:
            make.make_as_built(boat.line_off, file=file)
        print(fault.value)
        assert len(boat.document.Objects) == count
    (tmp_path / "raw.csv").write_bytes(b"\xff\xfe\x00S")
    with pytest.raises(PlanError):
        read_csv(str(tmp_path / "raw.csv"))


def test_half_model_follows_and_says_what_the_skin_makes(boat):
    obj = make.make_half_model(boat.line_off, Scale="1 in = 1 ft")
    plain = cells(member(obj, "Half model marks"))
    assert obj.GreatestAllowance.Value == 0.0
    obj.Skin = "1.5 mm"
    boat.document.recompute()
    assert stale(boat.document) == []
    skinned = cells(member(obj, "Half model marks"))
    print(list(obj.Notes), obj.GreatestAllowance)
    print(plain[-1][:5], skinned[-1][:5])
    assert 0.5 < obj.GreatestAllowance.Value < 3.0
    marks = half_model_of(obj).value
    assert marks.model.scale == 12.0
    # the last row is the rabbet's; mm and inches stand side by side
    row = marks.table.rows[3]
    assert skinned[-1][7] == f"{round(row.rabbet, 2):.10g} mm" and skinned[-1][8] == feet_inches_sixteenths(row.rabbet)
    with pytest.raises(PlanError):
        make.change(obj, "Scale", Scale="twelve")
    assert obj.Scale == "1 in = 1 ft" and obj.isValid()


def test_save_and_reopen(boat, tmp_path):
    sheet = boat.document.addObject("Spreadsheet::Sheet", "Tape")
    for r, (name, girth) in enumerate(boat.whole().items(), 2):
        sheet.set(f"A{r}", "'" + name)
        sheet.set(f"B{r}", str(round(girth + 5)))
    sheet.set("A1", "'Station")
    sheet.set("B1", "'Rabbet")
    boat.document.recompute()
    one = make.make_as_built(boat.line_off, sheet, UnmeasuredEnds="As the nearest station")
    two = make.make_half_model(boat.line_off, Skin="2 mm")
    before = [cells(m) for m in (*one.Members, *two.Members)]
    path = str(tmp_path / "boat.FCStd")
    boat.document.saveAs(path)
    again = tmp_path / "again.FCStd"
    again.write_bytes(open(path, "rb").read())
    document = FreeCAD.openDocument(str(again))
    try:
        assert stale(document) == []
        one, two = document.getObject(one.Name), document.getObject(two.Name)
        for obj in document.Objects:
            obj.touch()
        document.recompute()
        assert stale(document) == []
        after = [cells(m) for m in (*one.Members, *two.Members)]
        print(len(before), "sheets the same")
        assert after == before
        document.getObject("LineOff").Strakes = 8
        document.recompute()
        assert stale(document) == [] and [cells(m) for m in one.Members] != before[:3]
    finally:
        FreeCAD.closeDocument(document.Name)
