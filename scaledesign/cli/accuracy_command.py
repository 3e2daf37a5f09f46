"""accuracy: how far off the program is, case by case.

Apart because no design is read here and nothing is made for the bench.
"""

from __future__ import annotations

import argparse

from scaledesign.accuracy.blocks import as_text
from scaledesign.accuracy.case import UNITS, Limit, Result, Row
from scaledesign.accuracy.fields import FieldTube, groups
from scaledesign.accuracy.page import blocks, page
from scaledesign.accuracy.report import Report, report
from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import output_path
from scaledesign.files.document_file import put


def accuracy(args: argparse.Namespace) -> int:
    """Work out every case; print the page, one object, or write the page as Markdown."""
    output = output_path(args)
    found = report()
    if output:
        put(page(found), output)
        print(f"Written to {output}.")
    elif args.json:
        print_json(report_object(found))
    else:
        print(as_text(blocks(found)), end="")
    return OK


def report_object(found: Report) -> dict[str, object]:
    """The page for programs; nothing is rounded."""
    return {
        "cases": [case_object(result) for result in found.results],
        "fields": [tube_object(tube) for tube in found.fields],
        "own_reference": {
            "count": found.own.count,
            "furthest_hz": found.own.hertz,
            "furthest_cents": found.own.cents,
            "tolerance_hz": found.own.tolerance,
        },
        "untested": [
            {"source": item.source, "status": item.status, "has": item.has, "missing": item.missing}
            for item in found.untested
        ],
        "uncovered": list(found.uncovered),
    }


def tube_object(tube: FieldTube) -> dict[str, object]:
    """One tube of our field solutions with every note, and what is asked of them together."""
    return {
        "tube": tube.name,
        "geometry": tube.geometry,
        "groups": [
            {
                "notes": group.what,
                "rms_cents": group.rms,
                "worst_cents": group.worst.off,
                "outcome": group.outcome,
            }
            for group in groups((tube,))
        ],
        "notes": [
            {
                "fingering": note.fingering,
                "register": note.register,
                "field_hz": note.field,
                "frequency_hz": note.ours,
                "error_cents": note.off,
            }
            for note in tube.notes
        ],
    }


def case_object(result: Result) -> dict[str, object]:
    """One case with every figure."""
    case = result.case
    return {
        "case": case.key,
        "group": case.group,
        "title": case.title,
        "source": case.source,
        "status": case.status,
        "geometry": case.geometry,
        "compared": case.compared,
        "left_out": case.left_out,
        "outcome": result.outcome,
        "checks": [check_object(result, limit) for limit in case.limits],
        "rows": [row_object(result, row) for row in result.found.rows],
    }


def check_object(result: Result, limit: Limit) -> dict[str, object]:
    """One value and where it has to lie; a side without a limit is null."""
    key = UNITS[limit.unit].key
    return {
        "words": limit.words,
        f"value_{key}": result.found.values[limit.value],
        f"low_{key}": limit.low,
        f"high_{key}": limit.high,
        "by": limit.by,
        "real_instrument": limit.real,
        "outcome": result.outcome_of(limit),
    }


def row_object(result: Result, row: Row) -> dict[str, object]:
    """One figure beside ours; frequencies are off by cents, all else by its own unit."""
    key = UNITS[result.case.unit].key
    off = "cents" if result.case.unit == "Hz" else key
    return {
        "label": row.label,
        f"published_{key}": row.published,
        f"predicted_{key}": row.predicted,
        f"error_{off}": result.error_of(row),
    }
