# SPDX-License-Identifier: LGPL-2.1-or-later
"""package.xml as the host itself reads it, against the files it names."""

import ast
import os
import re
from pathlib import Path
from xml.etree import ElementTree

import FreeCAD
import pytest

import strakeplan

TOP = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def package():
    return FreeCAD.Metadata(str(TOP / "package.xml"))


@pytest.fixture(scope="module")
def workbench(package):
    (only,) = package.Content["workbench"]
    return only


def classes_of(script):
    tree = ast.parse((TOP / script).read_text(encoding="utf-8"))
    return {node.name: node for node in tree.body if isinstance(node, ast.ClassDef)}


def test_addon_index_asks_for_these(package):
    print(package.Name, package.Version, package.License, package.Maintainer)
    assert package.Name == "strakeplan"
    assert package.Description
    assert str(package.Version).startswith(strakeplan.__version__)
    assert [m["email"] for m in package.Maintainer] == ["maintainers@strakeplan.example"]
    (licence,) = package.License
    assert licence["name"] == "LGPL-2.1-or-later"
    text = (TOP / licence["file"]).read_text(encoding="utf-8")
    assert "GNU LESSER GENERAL PUBLIC LICENSE" in text and "Version 2.1, February 1999" in text
    assert {u["type"] for u in package.Urls} >= {"repository", "readme", "bugtracker"}
    (repository,) = [u for u in package.Urls if u["type"] == "repository"]
    assert repository["branch"] == "main"


def test_date_is_a_date():
    # 0.20 does not offer the date, so it is read from the file
    root = ElementTree.parse(TOP / "package.xml").getroot()
    date = root.findtext("{*}date")
    assert root.get("format") == "1"
    assert re.fullmatch(r"20\d\d-(0[1-9]|1[0-2])-([0-2]\d|3[01])", date)


def test_workbench_is_the_one_registered(workbench):
    assert workbench.Subdirectory == "./"
    registered = classes_of("InitGui.py")
    assert workbench.Classname in registered
    menu_text = [
        node.value.value
        for node in registered[workbench.Classname].body
        if isinstance(node, ast.Assign)
        and node.targets[0].id == "MenuText"
        and isinstance(node.value, ast.Constant)
    ]
    print("workbench", workbench.Classname, "named", workbench.Name, "menu text", menu_text)
    assert menu_text in ([], [workbench.Name])


def test_icons_are_there(package, workbench):
    for icon in (package.Icon, os.path.join(workbench.Subdirectory, workbench.Icon)):
        root = ElementTree.parse(TOP / icon).getroot()
        print(icon, root.get("width"), root.get("height"), root.get("viewBox"))
        assert root.tag == "{http://www.w3.org/2000/svg}svg"


def test_needs_what_the_core_imports(workbench):
    assert sorted(d["package"] for d in workbench.Depend) == ["numpy", "scipy"]


def test_supports_this_host(workbench):
    assert workbench.supportsCurrentFreeCAD()
