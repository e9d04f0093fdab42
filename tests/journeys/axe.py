"""axe-core, as published, asked about a page: every rule it has, and nothing may be found."""

import json
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).resolve().parent / "vendor" / "axe-core-4.14.1"


@cache
def source() -> str:
    """The script, if it is the published one."""
    script = (FOLDER / "axe.min.js").read_bytes()
    wanted = json.loads((FOLDER / "vendor.json").read_text(encoding="utf-8"))["sha256"]
    assert sha256(script).hexdigest() == wanted, "axe.min.js is not the file that was vendored"
    return script.decode()


def found_on(page: Any) -> list[str]:
    """What axe-core finds wrong with a page as it stands, one line each."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(source())
    results = page.evaluate("axe.run(document)")
    assert results["passes"], "axe-core looked at nothing"
    return [
        f"{page.url} {fault['id']}: {fault['help']} at {node['target']} {node['html'][:160]}"
        for fault in results["violations"]
        for node in fault["nodes"]
    ]
