# SPDX-License-Identifier: LGPL-2.1-or-later
"""The eased line: a string that sags towards the sheer, as on a half model turned upside down."""

from ..core.lines.eased import eased_line
from ..core.lines.marks import Mark
from ..host.cache import Keyed, Results, digest
from .base import Property
from .line import READ_OUTS, SURFACE, LineObject
from .marked import BOW, GIRTH, SHARE, STERN
from .planked_surface import surface_of

__all__ = ["BY_GIRTH", "BY_SLACK", "EasedLineObject"]

BY_SLACK = "Slack"
BY_GIRTH = "Girth to pass"

_lines = Results()


class EasedLineObject(LineObject):
    """Proxy of an eased line."""

    KIND = "EasedLine"
    CHOICES = ("EasedBy", "PassGivenBy", BOW.name("GivenBy"), STERN.name("GivenBy"))
    PROPERTIES = (
        SURFACE,
        *BOW.properties,
        *STERN.properties,
        Property("App::PropertyEnumeration", "EasedBy", "Easing",
                 "What says how much the line is eased", [BY_SLACK, BY_GIRTH]),
        Property("App::PropertyDistance", "Slack", "Easing",
                 "Length more than the taut line's; positive eases towards the sheer, negative away from it"),
        Property("App::PropertyEnumeration", "PassGivenBy", "Easing",
                 "How the girth to pass is given", [GIRTH, SHARE]),
        Property("App::PropertyDistance", "PassPosition", "Easing",
                 "Coordinate along the ship where the line has to pass"),
        Property("App::PropertyLength", "PassGirth", "Easing", "Girth below the sheer that it has to pass there"),
        Property("App::PropertyFloat", "PassShare", "Easing", "The same as a share of the whole girth, 0 to 1", 0.5),
        *READ_OUTS,
    )  # fmt: skip

    def find(self, obj):
        hull = surface_of(self.surface(obj))
        ends = BOW.mark(obj), STERN.mark(obj)
        slack = through = None
        if obj.EasedBy == BY_SLACK:
            slack = obj.Slack.Value
        elif obj.PassGivenBy == GIRTH:
            through = Mark(station=obj.PassPosition.Value, girth=obj.PassGirth.Value)
        else:
            through = Mark(station=obj.PassPosition.Value, share=obj.PassShare)
        key = digest(hull.key, "eased", ends, slack, through)
        return Keyed(_lines.get(key, lambda: eased_line(hull.value, *ends, slack, through)), key)

    def needless(self, obj):
        hidden = [*BOW.needless(obj), *STERN.needless(obj)]
        if obj.EasedBy == BY_SLACK:
            return [*hidden, "PassGivenBy", "PassPosition", "PassGirth", "PassShare"]
        return [*hidden, "Slack", "PassShare" if obj.PassGivenBy == GIRTH else "PassGirth"]
