# SPDX-License-Identifier: LGPL-2.1-or-later
"""Files for others: STEP solids with their names, CSV tables, JSON.

Every file is written under another name beside its own and moved there once it is
whole, so that a failure leaves what was there before.
"""

import contextlib
import csv
import json
import os

import FreeCAD

from ..core.errors import PlanError

__all__ = ["replacing", "write_csv", "write_json", "write_step", "write_text"]


@contextlib.contextmanager
def replacing(path):
    """Name to write to; moved to `path` on success, removed on failure.

    Parameters
    ----------
    path : str

    Yields
    ------
    str
        A name in the same folder and with the same ending.
    """
    folder, name = os.path.split(os.path.abspath(path))
    if not os.path.isdir(folder):
        raise PlanError(f"There is no folder {folder}", remedy="Make it, or choose another")
    stem, ending = os.path.splitext(name)
    draft = os.path.join(folder, f".{stem}-{os.getpid()}{ending}")
    try:
        yield draft
        if not os.path.isfile(draft) or os.path.getsize(draft) == 0:
            raise PlanError(
                f"{path} could not be written",
                remedy="Check that the disk is not full and that you may write there",
            )
        os.replace(draft, path)
    except OSError as fault:
        raise PlanError(
            f"{path} could not be written: {fault.strerror or fault}",
            remedy="Check that the disk is not full and that you may write there",
        ) from fault
    finally:
        with contextlib.suppress(OSError):
            os.remove(draft)


def write_csv(path, header, rows):
    """A table as CSV (RFC 4180, UTF-8).

    Parameters
    ----------
    path : str
    header : sequence of str
    rows : iterable of sequences
    """
    with replacing(path) as draft, open(draft, "w", encoding="utf-8", newline="") as handle:
        writer = csv.writer(handle)
        writer.writerow(header)
        writer.writerows(rows)


def write_text(path, text):
    """Plain text (UTF-8)."""
    with replacing(path) as draft, open(draft, "w", encoding="utf-8") as handle:
        handle.write(text.rstrip("\n") + "\n")


def write_json(path, data):
    """Plain data as JSON (RFC 8259, so no NaN), two blanks to a level."""
    with replacing(path) as draft, open(draft, "w", encoding="utf-8") as handle:
        json.dump(data, handle, indent=2, ensure_ascii=False, allow_nan=False)
        handle.write("\n")


def write_step(path, named_solids):
    """Solids as STEP products that carry their names.

    Parameters
    ----------
    path : str
    named_solids : sequence of (str, Part.Solid)

    Raises
    ------
    PlanError
        If there is nothing to write or the file cannot be written.
    """
    import Import  # only here: it loads the whole exchange library

    named_solids = list(named_solids)
    if not named_solids:
        raise PlanError("There is no plank to export", remedy="Make the planks first")
    active = FreeCAD.ActiveDocument
    document = FreeCAD.newDocument("Planks", hidden=True, temp=True)
    try:
        objects = []
        for name, solid in named_solids:
            obj = document.addObject("Part::Feature", "Plank")
            obj.Label = name
            obj.Shape = solid
            objects.append(obj)
        with replacing(path) as draft:
            Import.export(objects, draft)
    finally:
        FreeCAD.closeDocument(document.Name)
        if active is not None:
            FreeCAD.setActiveDocument(active.Name)
