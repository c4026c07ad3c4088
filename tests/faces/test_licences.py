"""The plain set-up brings what asks no more than that its notice be kept, but for what is named here.

The licences are those that the packages' own metadata tell; the forms are SPDX's and PyPI's classifiers.
"""

from __future__ import annotations

import re
from importlib.metadata import PackageNotFoundError

import pytest
from licences import PROJECT, brought, licence, permissive, wanted
from packaging.requirements import Requirement

# JupyterLab needs both: a list of certificate authorities, and a check of host names.
# The Mozilla Public License binds who changes their own files, and nobody who uses them.
NAMED = {"certifi": "MPL-2.0", "fqdn": "MPL-2.0"}


def test_the_plain_set_up_is_permissive_but_for_what_is_named() -> None:
    found = brought(wanted())
    assert {"numpy", "pint", "jupyterlab", "tornado", "numba"} <= set(found) and len(found) > 80
    asking = {name: licence(each) for name, each in found.items() if not permissive(licence(each))}
    assert asking.keys() == NAMED.keys()
    assert all(re.search(r"MPL.2\.0", told) for told in asking.values())


@pytest.mark.parametrize("extra", ["dask", "sweeps"])
def test_so_are_the_extras_for_many_runs(extra: str) -> None:
    assert [name for name, each in brought(wanted(extra)).items() if not permissive(licence(each))] == []


def test_paper_is_an_extra_for_the_sake_of_its_hyphens() -> None:
    # pyphen may be had under the GPL, the LGPL or the MPL, as one chooses.
    found = brought(wanted("pdf"))
    assert [name for name, each in found.items() if not permissive(licence(each))] == ["pyphen"]
    assert not {"weasyprint", "pyphen"} & brought(wanted()).keys()


@pytest.mark.parametrize(
    ("told", "free"),
    [
        ("MIT", True),
        ("BSD-2-Clause AND Apache-2.0 WITH LLVM-exception", True),
        ("Apache Software License", True),
        ("Python Software Foundation License", True),
        ("BSD 3-Clause License", True),
        ("MIT OR GPL-2.0-only", True),
        ("MIT AND GPL-2.0-only", False),
        ("GPL-3.0-or-later", False),
        ("LGPL-2.1-only", False),
        ("Mozilla Public License 2.0 (MPL 2.0)", False),
        ("Commercial", False),
        ("", False),
    ],
)
def test_a_licence_is_told_from_another(told: str, free: bool) -> None:
    assert permissive(told) is free


def test_what_is_missing_is_not_passed_over() -> None:
    with pytest.raises(PackageNotFoundError):
        brought(["a-package-that-nobody-installed"])


def test_every_dependency_has_a_lower_bound() -> None:
    for extra in ("", *PROJECT["optional-dependencies"]):
        for asked in map(Requirement, wanted(extra)):
            assert asked.name == PROJECT["name"] or {each.operator for each in asked.specifier} & {">=", "=="}


def test_our_own_is_permissive() -> None:
    assert permissive(PROJECT["license"])
