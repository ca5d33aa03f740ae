"""The check list as a printable page and as a table for a spreadsheet."""

from __future__ import annotations

import base64
import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from numpy.typing import NDArray

from tracer.bench.chart import ChartRow
from tracer.cautions import CAUTIONS
from tracer.circuit.discharge import DISCHARGE_CAUTION, Discharge, discharge_words
from tracer.report.chart import chart_table
from tracer.report.checklist import CheckList
from tracer.report.legend import DRAWN_ROUTE
from tracer.resources import asset

__all__ = ["SheetPicture", "checklist_csv", "checklist_html", "moment", "picture_of"]

_MOST_WIDTH = 1600  # px of a sheet inside the page; the whole one lies beside it as a PNG

COLUMNS = (
    "reading",
    "from",
    "to",
    "setting",
    "expected",
    "shown",
    "verdict",
    "why",
    "proved",
    "when",
)


@dataclass(frozen=True, slots=True)
class SheetPicture:
    """A tinted sheet made small, as a ``data:`` address."""

    number: int
    name: str
    data: str


def picture_of(number: int, name: str, image: NDArray[np.uint8]) -> SheetPicture:
    """Make a tinted sheet, (H, W, 3) uint8 red green blue, small enough to lie inside a page."""
    height, width = image.shape[:2]
    if width > _MOST_WIDTH:
        size = (_MOST_WIDTH, max(1, round(height * _MOST_WIDTH / width)))
        image = np.asarray(cv2.resize(image, size, interpolation=cv2.INTER_AREA), np.uint8)
    done, data = cv2.imencode(".jpg", cv2.cvtColor(image, cv2.COLOR_RGB2BGR), [cv2.IMWRITE_JPEG_QUALITY, 82])
    assert done
    return SheetPicture(number, name, "data:image/jpeg;base64," + base64.b64encode(data.tobytes()).decode())


def checklist_html(
    checklist: CheckList,
    chart: Sequence[ChartRow],
    pictures: Sequence[SheetPicture],
    title: str,
    written: str,
    counts: tuple[int, int],
    charged: Sequence[Discharge] = (),
) -> str:
    """Fill the page: cautions first; everything it needs lies inside it.

    Parameters
    ----------
    checklist : CheckList
    chart : sequence of ChartRow
    pictures : sequence of SheetPicture
    title : str
        The job's name.
    written : str
        When, in words or ISO 8601.
    counts : (int, int)
        Elements carried, and all that have a tint.
    charged : sequence of Discharge
        The large capacitors, named among the cautions.
    """
    environment = Environment(
        loader=FileSystemLoader(asset("templates")), autoescape=True, undefined=StrictUndefined
    )
    environment.filters["moment"] = moment
    return environment.get_template("checklist.html.j2").render(
        list=checklist,
        chart=chart_table(chart),
        sheets=pictures,
        title=title,
        written=written,
        carried=counts[0],
        elements=counts[1],
        cautions=CAUTIONS,
        charged=[discharge_words(each) for each in charged],
        charged_caution=DISCHARGE_CAUTION,
        drawn_route=DRAWN_ROUTE,
    )


def moment(when: str) -> str:
    """Return an ISO 8601 moment as a person writes it: day and minute, in the zone it was written in.

    Examples
    --------
    >>> moment("2020-02-03T14:05:06+01:00")
    '2020-02-03 14:05'
    """
    return when[:16].replace("T", " ")


def checklist_csv(checklist: CheckList) -> str:
    """Return the readings as CSV (RFC 4180), with a header line; withdrawn readings say so in `verdict`."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream)
    writer.writerow(COLUMNS)
    for row in checklist.rows:
        cells = (row.setting, row.expected, row.shown, row.verdict, row.why, row.proved, row.when)
        writer.writerow((row.number, row.start, row.end, *cells))
    return stream.getvalue()
