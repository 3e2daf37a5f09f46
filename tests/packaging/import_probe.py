"""Run by ``test_import_hygiene``: import modules, each as the first of a process, and say what came with it.

``python import_probe.py LIBRARIES < modules``: the libraries, which every module may bring, are imported
once; then each module is imported in a copy of this process that has seen none of the others. One line of
JSON: the modules, and the top-level names each of them had in ``sys.modules``, or how its import failed.
"""

import importlib
import json
import os
import sys
import traceback


def brought_by(module: str) -> list[str]:
    importlib.import_module(module)
    return sorted({name.partition(".")[0] for name in sys.modules})


def in_a_copy(module: str) -> list[str] | str:
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            said: list[str] | str = brought_by(module)
        except BaseException:  # noqa: BLE001 - told to the parent, word for word
            said = traceback.format_exc()
        with os.fdopen(writing, "w") as out:
            json.dump(said, out)
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading) as answer:
        told = json.load(answer)
    os.waitpid(child, 0)
    return told


if __name__ == "__main__":
    for library in sys.argv[1:]:
        importlib.import_module(library)
    print(json.dumps({module: in_a_copy(module) for module in sys.stdin.read().split()}))
