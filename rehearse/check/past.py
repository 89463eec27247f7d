"""Past results from an operator's older records, as the record store takes them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, time
from zoneinfo import ZoneInfo

from rehearse.programme.past import PastResult
from rehearse.store import Kind, Method, NewResult, whole


def past_results(
    past: Iterable[PastResult], ids: Mapping[str, str], zone: ZoneInfo
) -> list[NewResult]:
    """The lines of a file as results to be recorded, in its order.

    ids: persons' ids by staff number; an examiner who is not among them is named in words.
    zone: the operator's; noon there stands for a day whose hour is not known.
    """
    return [_past(each, ids, zone) for each in past]


def _past(past: PastResult, ids: Mapping[str, str], zone: ZoneInfo) -> NewResult:
    result, examiner = past.result, ids.get(past.examiner, "")
    told = ["" if examiner else f"examiner {past.examiner}", past.remark]
    return NewResult(
        person=ids[result.staff],
        kind=Kind.PAST,
        element=result.element,
        procedure="",
        revision=0,
        method=Method(result.method),
        taken_at=datetime.combine(result.day, time(12), zone),
        steps=whole(passed=result.outcome == "passed", why="; ".join(filter(None, told))),
        examiner=examiner,
    )
