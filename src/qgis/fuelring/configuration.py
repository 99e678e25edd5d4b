# SPDX-License-Identifier: Apache-2.0
"""A configuration of the program from layers that a user picked."""

import json
import os


def text(value):
    """A string as TOML writes it; JSON's escapes are TOML's, too."""
    return json.dumps(value, ensure_ascii=False)


def table(name, keys):
    """A table of the keys that have a value; nothing where none has."""
    lines = [f"{key} = {value}" for key, value in keys if value]
    return f"[{name}]\n" + "\n".join(lines) + "\n" if lines else ""


def layer_keys(path, layer, columns=()):
    """path and layer, and keys that name columns."""
    if not path:
        return []
    return [("path", text(path)), ("layer", text(layer) if layer else "")] + \
        [(key, text(column) if column else "") for key, column in columns]


def with_treat(config, hectares):
    """The text of a configuration with a budget of hectares, unless it has a table [treat]."""
    with open(config, encoding="utf-8") as file:
        before = file.read()
    if any(line.strip().startswith("[treat]") for line in before.splitlines()):
        return before
    return before.rstrip("\n") + f"\n\n[treat]\nbudget = {{ hectares = {hectares:g} }}\n"


def beside(config, name):
    """A file in the folder of a configuration: paths in it are relative to that."""
    return os.path.join(os.path.dirname(os.path.abspath(config)), name)
