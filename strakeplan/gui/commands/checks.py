# SPDX-License-Identifier: LGPL-2.1-or-later
"""The commands that look at strakes and planks before wood is cut."""

from ...objects.base import kind_of
from .. import wanted
from .base import QT_TRANSLATE_NOOP, Command

__all__ = ["StrakeChecksCommand", "TrialPlankCommand", "WoodTableCommand", "first_values"]


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
            _open_report(obj)
            return obj

        return panels.show(
            self.KIND,
            document,
            make_it,
            {"LineOff": source, "Tuck": tucks[-1] if tucks else None, "Lines": [],
             **first_values((*JOB_PROPERTIES, *LIMIT_PROPERTIES))},
        )  # fmt: skip


class TrialPlankCommand(Command):
    KIND = "TrialPlank"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_TrialPlank", "Trial plank")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_TrialPlank",
        "Try a straight plank on a line or a strake: how far it must be sprung, the force of each clamp, and whether it goes",
    )

    def run(self, document):
        from ...objects import make
        from ...objects.trial_plank import TRIAL_LIMITS, WORST, TrialPlankObject
        from .. import panels

        on = wanted.trial_ground(document)
        asked = [p for p in TrialPlankObject.PROPERTIES if not p.mode]
        values = {**first_values(asked), "On": on, "PlacedBy": WORST, "Position": 0.0}
        values.update(_as_before(document, [p.name for p in asked if p.group in ("Plank", "Wood")],
                                 [limited.name for limited in TRIAL_LIMITS]))  # fmt: skip

        def make_it(On, **values):
            obj = make.make_trial_plank(On or on, **values)
            _open_report(obj)
            return obj

        return panels.show(self.KIND, document, make_it, values)


def _as_before(document, asked, limits):
    """What the last trial plank or, without one, the last strake checks of the document were asked with."""
    found = {}
    for kind in ("StrakeChecks", "TrialPlank"):
        for obj in document.Objects:
            if kind_of(obj) == kind:
                found = {name: getattr(obj, name) for name in (*asked, *limits) if name in obj.PropertiesList}
                found.pop("Steamed" if kind == "StrakeChecks" else "", None)  # of many strakes, and by need
    return found


def _open_report(obj):
    """Open the page to read."""
    next(m for m in obj.Members if m.FilledAs == "Report").ViewObject.doubleClicked()


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
