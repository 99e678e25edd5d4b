# SPDX-License-Identifier: Apache-2.0
import ast
import inspect
import pathlib

import fuelring
import pytest


def test_a_run_folder_opens(sample):
    run = fuelring.open(sample.out)
    assert run.manifest["kind"] == "map"
    addresses = run.addresses
    assert len(addresses["rank"]) == len(sample.ids)
    assert {type(one) for one in addresses["exposure"]} <= {float, type(None)}
    assert {type(one) for one in addresses["structure_id"]} == {str}
    assert run.neighbourhoods["neighbourhood"][-1] == "(community)"
    assert run.priority.is_file() and run.layers.is_file()
    assert f"{len(sample.ids)} structures" in repr(run)
    with pytest.raises(fuelring.Error, match="it has no run.json") as raised:
        fuelring.open(sample.out.parent)
    assert raised.value.exit_code == 3


def test_the_stubs_have_what_the_package_has():
    stub = ast.parse(pathlib.Path(fuelring.__file__).with_suffix(".pyi").read_text(encoding="utf-8"))
    defined = {node.name: node for node in stub.body if isinstance(node, (ast.FunctionDef, ast.ClassDef))}
    names = {node.target.id for node in stub.body if isinstance(node, ast.AnnAssign)}
    assert set(fuelring.__all__) <= set(defined) | names
    for name in ("rings", "priority", "open"):
        assert fuelring.__dict__[name].__doc__
        of_stub = defined[name].args
        assert [one.arg for one in of_stub.args + of_stub.kwonlyargs] == list(inspect.signature(fuelring.__dict__[name]).parameters)


def test_the_caution_is_at_hand():
    assert "not a probability of ignition" in fuelring.caution
