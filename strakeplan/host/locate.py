# SPDX-License-Identifier: LGPL-2.1-or-later
"""Find FreeCAD's Python modules on this machine and make them importable.

FreeCAD does not install its modules where Python looks: they lie in the
program's own ``lib`` folder.  Everything that runs outside the program (the
batch runner, the tests, a script) calls `use_host` once, first of all.

Only the standard library is used here, so the message about a missing host
comes through on a machine that lacks numpy too.
"""

import glob
import importlib
import importlib.machinery
import importlib.util
import os
import sys

from strakeplan.core.errors import PlanError

__all__ = ["ENVIRONMENT", "candidate_folders", "find_host", "use_host"]

ENVIRONMENT = "STRAKEPLAN_FREECAD_LIB"
"""Environment variable that names the folder and overrules the search."""

MODULE = "FreeCAD"

_PATTERNS = (
    # Debian and its kin: the flavour for this Python first
    "/usr/lib/freecad-python3/lib",
    "/usr/lib/freecad*/lib",
    "/usr/lib/*/freecad*/lib",
    "/usr/lib64/freecad*/lib*",
    "/usr/local/lib/freecad*/lib",
    "/usr/local/lib/freecad*",
    "/usr/local/freecad*/lib",
    "/opt/[Ff]ree[Cc][Aa][Dd]*/lib",
    "/opt/[Ff]ree[Cc][Aa][Dd]*/usr/lib",
    # snaps and unpacked bundles
    "/snap/freecad/current/usr/lib/freecad*/lib",
    "/snap/freecad/current/usr/lib",
    "/snap/freecad/current/lib",
    "/var/lib/flatpak/app/org.freecad*/current/active/files/freecad/lib",
    "/Applications/FreeCAD*.app/Contents/Resources/lib",
    "/Applications/FreeCAD*.app/Contents/lib",
    "C:/Program Files/FreeCAD*/bin",
)


def _holds_module(folder):
    """True where `folder` has the compiled module itself, whatever its suffix."""
    suffixes = [*importlib.machinery.EXTENSION_SUFFIXES, ".so", ".pyd"]
    return any(os.path.isfile(os.path.join(folder, MODULE + s)) for s in suffixes)


def candidate_folders():
    """Folders where FreeCAD's modules may lie, in the order they are tried.

    Returns
    -------
    list of str
        Existing folders and prefixes alike; no folder twice.
    """
    folders = []
    # an environment (conda and the like) that is active comes before the system's
    for prefix in (os.environ.get("CONDA_PREFIX"), sys.prefix, sys.base_prefix):
        if prefix and prefix != "/usr":
            for tail in ("lib", "Library/bin", "lib/freecad/lib", "bin"):
                folders.append(os.path.join(prefix, tail))
    for pattern in _PATTERNS:
        folders.extend(sorted(glob.glob(pattern), reverse=True))
    return list(dict.fromkeys(os.path.normpath(f) for f in folders))


def find_host():
    """Folder that holds FreeCAD's modules.

    Returns
    -------
    str
        The folder `ENVIRONMENT` names, or the first candidate with the module.

    Raises
    ------
    PlanError
        Nothing was found, or the folder named in the environment has no such module.
    """
    named = os.environ.get(ENVIRONMENT)
    if named:
        if _holds_module(named):
            return os.path.normpath(named)
        raise PlanError(
            f"The folder {named!r} named by {ENVIRONMENT} holds no FreeCAD module",
            remedy=f"Name FreeCAD's lib folder (it holds a file {MODULE}.so or {MODULE}.pyd), "
            f"or unset {ENVIRONMENT} to have it searched",
        )
    for folder in candidate_folders():
        if _holds_module(folder):
            return folder
    raise PlanError(
        "FreeCAD was not found on this machine",
        remedy="Install it (on Debian: apt-get install freecad-python3), or name its lib folder, "
        f"the one that holds {MODULE}.so, in the environment variable {ENVIRONMENT}",
    )


def use_host():
    """Make ``import FreeCAD`` work, and import it.

    Safe to call more than once, and inside the program itself, where there is
    nothing to find.

    Returns
    -------
    module
        FreeCAD.

    Raises
    ------
    PlanError
        It was not found, or this Python cannot load it (a bundle brings its own Python).
    """
    if MODULE in sys.modules:
        return _make_ready(sys.modules[MODULE])
    folder = ""
    if os.environ.get(ENVIRONMENT) or importlib.util.find_spec(MODULE) is None:
        folder = find_host()
        # at the end: the host's folder must not hide a module of the standard library
        if folder not in sys.path:
            sys.path.append(folder)
    try:
        host = importlib.import_module(MODULE)
    except ImportError as fault:
        version = ".".join(map(str, sys.version_info[:2]))
        raise PlanError(
            f"FreeCAD's module was found but Python {version} cannot load it: {fault}",
            where=f"Folder {folder}" if folder else "",
            remedy="Run with the Python that FreeCAD was built for (on Debian /usr/bin/python3; "
            f"a bundle brings its own), or name another FreeCAD in {ENVIRONMENT}",
        ) from fault
    return _make_ready(host)


def _make_ready(host):
    """Supply what the program's own start would have: its shims, and the add-on's folder."""
    # distributions keep the shim `PySide` beside the resources, off the path
    shims = os.path.join(host.getResourceDir(), "Ext")
    if os.path.isdir(shims) and shims not in sys.path:
        sys.path.append(shims)
    # a document restores objects only from folders listed as add-ons; outside the
    # program nothing is listed, and our own objects would come back without their code
    own = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
    listed = list(getattr(host, "__ModDirs__", ()))
    if own not in listed:
        host.__ModDirs__ = [*listed, own]
    return host


if __name__ == "__main__":
    # for scripts that ask whether there is a host: its folder, or the message and status 2
    try:
        use_host()
        print(os.environ.get(ENVIRONMENT) or find_host())
    except PlanError as error:
        print(error, file=sys.stderr)
        sys.exit(2)
