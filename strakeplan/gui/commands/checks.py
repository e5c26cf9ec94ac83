# SPDX-License-Identifier: LGPL-2.1-or-later
"""The commands that look at strakes and planks before wood is cut."""

from ...objects.base import kind_of
from .. import wanted
from .base import QT_TRANSLATE_NOOP, Command

__all__ = ["StrakeChecksCommand", "WoodTableCommand", "first_values"]


def first_values(properties):
    """Defaults of properties, as a panel takes them."""
    import FreeCAD

    found = {}
    for p in properties:
        value = p.default
        if p.type == "App::PropertyEnumeration":
            value = value[0]
        elif p.type == "App::PropertyForce":
            value = FreeCAD.Units.Quantity(value).Value
        elif value is None:
            value = {"App::PropertyString": "", "App::PropertyLinkList": []}.get(p.type)
        found[p.name] = value
    return found


class StrakeChecksCommand(Command):
    KIND = "StrakeChecks"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_StrakeChecks", "Strake checks")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_StrakeChecks", "Check every strake before wood is cut: widths, edge set, forces, bend, twist, and the limits"
    )

    def run(self, document):
        from ...objects import make
        from ...objects.job import JOB_PROPERTIES, LIMIT_PROPERTIES
        from .. import panels

        source = wanted.one(document, "LineOff", "line-off")
        tucks = [o for o in document.Objects if kind_of(o) == "TuckLine"]

        def make_it(LineOff, **values):
            obj = make.make_strake_checks(LineOff or source, **values)
            next(m for m in obj.Members if m.FilledAs == "Report").ViewObject.doubleClicked()
            return obj

        return panels.show(
            self.KIND,
            document,
            make_it,
            {"LineOff": source, "Tuck": tucks[-1] if tucks else None, "Lines": [],
             **first_values((*JOB_PROPERTIES, *LIMIT_PROPERTIES))},
        )  # fmt: skip


class WoodTableCommand(Command):
    KIND = "WoodTable"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_WoodTable", "Wood table")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_WoodTable", "The species with their figures and sources, as a sheet to add your own to"
    )

    def run(self, document):
        from ...objects.wood_choice import make_wood_table

        sheet = make_wood_table(document)
        sheet.ViewObject.doubleClicked()
        return sheet
