"""Scans and jobs that are dropped, and scans that are opened again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import cv2
import pytest
import small_sheet
from PIL import Image
from PyQt6.QtCore import QMimeData, QPointF, Qt, QUrl
from PyQt6.QtGui import QDropEvent
from PyQt6.QtWidgets import QInputDialog

from tracer.desk.opening import pages_of
from tracer.desk.window import DeskWindow
from tracer.errors import BadConfirmation
from tracer.job.file import create_job
from tracer.job.sheets import add_sheet, sheets
from tracer.job.tags import add_tag, tags

Make = Callable[[Path | None], DeskWindow]
Settled = Callable[[DeskWindow], None]


def drop(window: DeskWindow, *paths: Path) -> None:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    left, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    window.dropEvent(QDropEvent(QPointF(9, 9), Qt.DropAction.CopyAction, data, left, none))


def another(path: Path) -> Path:
    """Another picture than the small sheet."""
    grey = cv2.imread(str(small_sheet.write(path)), cv2.IMREAD_GRAYSCALE)
    cv2.imwrite(str(path), cv2.flip(grey, 1))
    return path


def names(window: DeskWindow) -> list[str]:
    return [sheet.name for sheet in sheets(window.desk.job)]  # type: ignore[arg-type]


def test_several_scans_are_the_sheets_of_one_set(
    make_window: Make, scan: Path, tmp_path: Path, settled: Settled
) -> None:
    window = make_window(None)
    other = another(tmp_path / "second.png")
    drop(window, scan, other)
    settled(window)
    assert names(window) == ["small.png", "second.png"]
    drop(window, other, scan)
    settled(window)
    assert names(window) == ["small.png", "second.png"], "what is there already is not added again"
    drop(window, scan)
    settled(window)
    assert window.desk.state.sheet == 1


def test_a_job_is_dropped_and_takes_the_place_of_the_one_before(
    window: DeskWindow, tmp_path: Path, settled: Settled
) -> None:
    before = window.desk.job
    assert before is not None
    window.desk.edit(lambda job: add_tag(job, small_sheet.TAGS[0]))
    with create_job(tmp_path / "other.tracer") as job:
        add_sheet(job, another(tmp_path / "second.png"))
    drop(window, tmp_path / "other.tracer")
    settled(window)
    assert names(window) == ["second.png"]
    window.open(before.path)
    settled(window)
    assert [tag.reference for tag in tags(window.desk.job)] == ["R1"]  # type: ignore[arg-type]


def test_a_scan_opened_again_asks_nothing_and_is_as_it_was_left(
    make_window: Make, scan: Path, tmp_path: Path, settled: Settled, monkeypatch: pytest.MonkeyPatch
) -> None:
    pages = tmp_path / "two.tif"
    with Image.open(scan) as page:
        page.save(pages, save_all=True, append_images=[page.rotate(180)])
    asked: list[int] = []
    monkeypatch.setattr(QInputDialog, "getText", lambda *_, **__: asked.append(1) or ("2", True))
    window = make_window(pages)
    window.desk.edit(lambda job: add_tag(job, small_sheet.TAGS[0]))
    settled(window)
    window.close()
    again = make_window(pages)
    assert len(asked) == 1
    assert [sheet.page for sheet in sheets(again.desk.job)] == [2]  # type: ignore[arg-type]
    assert len(tags(again.desk.job)) == 1  # type: ignore[arg-type]


def test_what_cannot_be_taken_is_told_and_the_job_stays(window: DeskWindow, tmp_path: Path) -> None:
    words = tmp_path / "words.txt"
    words.write_text("no picture", encoding="utf-8")
    drop(window, words)
    assert "words.txt" in window.note.text.text()
    assert names(window) == ["small.png"]
    drop(window, tmp_path / "gone.png")
    assert "gone.png" in window.note.text.text()
    drop(window)
    assert names(window) == ["small.png"]


def test_several_pages_become_sheets_of_one_job(
    make_window: Make, scan: Path, tmp_path: Path, settled: Settled, monkeypatch: pytest.MonkeyPatch
) -> None:
    pages = tmp_path / "three.tif"
    with Image.open(scan) as page:
        page.save(pages, save_all=True, append_images=[page.rotate(180), page.rotate(90)])
    monkeypatch.setattr(QInputDialog, "getText", lambda *_, **__: ("1, 3", True))
    window = make_window(pages)
    settled(window)
    assert [sheet.page for sheet in sheets(window.desk.job)] == [1, 3]  # type: ignore[arg-type]
    assert list(window.leaves.leaves) == [1, 2]
    monkeypatch.setattr(QInputDialog, "getText", lambda *_, **__: ("7", True))
    other = make_window(None)
    other.open(another(tmp_path / "one.png"))
    settled(other)
    other.opening._add(pages)
    assert "'7'" in other.note.text.text()
    assert names(other) == ["one.png"]


@pytest.mark.parametrize("text", ["", "0", "4", "3-2", "one", "1-", "1,,2"])
def test_what_names_no_page_is_refused(text: str) -> None:
    with pytest.raises(BadConfirmation, match=r"set\.pdf"):
        pages_of(text, 3, "set.pdf")
