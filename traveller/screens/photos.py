"""The photos of a unit: what each is of, who took it and when, and a look at the chosen one."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import DataTable, Static

from traveller.counting import many
from traveller.errors import InputError
from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.widgets.fitted_table import FittedTable
from traveller.screens.widgets.thumbnail import Thumbnail, drawn
from traveller.screens.words import KEPT_HERE, KEPT_SIGN, time_words, with_kept
from traveller.terminal import picture_meant

if TYPE_CHECKING:
    from uuid import UUID

    from traveller.pictures.thumbnail import Rows
    from traveller.record.photos import Photo
    from traveller.record.view import UnitView


class PhotosPage(Page["UnitView"]):
    """A list beside a thumbnail; Enter gives the thumbnail the whole screen and back."""

    heading = "photos"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "add", "add", id="photos.add"),
        Binding("t", "take_off", "take off", id="photos.take_off"),
        Binding("s", "save", "save", id="photos.save"),
        Binding("enter", "enlarge", "large", id="photos.enlarge"),
    ]

    def __init__(self, tag: str, of: str = "") -> None:
        super().__init__()
        self.tag = tag
        self.view: UnitView | None = None
        self._of = of
        self._photos: list[Photo] = []
        self._drawing = 0

    def contents(self) -> list[Widget]:
        return [
            Static("", id="lead", classes="pad"),
            Horizontal(
                Vertical(
                    FittedTable(id="photos", cursor_type="row", show_header=False),
                    Static("", id="whole", classes="pad"),
                    id="photolist",
                ),
                Thumbnail("", id="thumbnail"),
                id="body",
            ),
        ]

    @property
    def table(self) -> DataTable[Text]:
        return self.query_one("#photos", DataTable)

    def on_mount(self) -> None:
        self.table.add_column("of", key="of", width=200)
        self.table.focus()

    def asking(self) -> Callable[[], UnitView]:
        return partial(self.workshop.unit, self.tag)

    def paint(self, loaded: UnitView) -> None:
        from traveller.record.photos import all_photos

        before = self._chosen()
        self.view, self._photos = loaded, all_photos(loaded.unit)[::-1]
        count = (
            f"{many(len(self._photos), 'photo')}, newest first; Enter: large"
            if self._photos
            else "no photo yet: a adds one"
        )
        self.query_one("#lead", Static).update(Text(f"{self.tag}: {count}"))
        self.table.clear()
        for one in self._photos:
            self.table.add_row(Text(f"{self._mark(one)}{self._what(one)}"))
        self.table.move_cursor(row=self._row_of(before))
        self._show_chosen()

    def _row_of(self, before: Photo | None) -> int:
        """The photo that was chosen; on the first look, the newest of what was asked for."""
        if before in self._photos:
            return self._photos.index(before)
        return next((at for at, one in enumerate(self._photos) if self._of and one.of == self._of), 0)

    def _when(self, photo: Photo) -> str:
        return time_words(photo.at, self.terminal.shop.zone if self.terminal.shop else "UTC")

    def _mark(self, photo: Photo) -> str:
        return f"{KEPT_SIGN} kept · " if self.view and photo.entry in self.view.kept else ""

    @staticmethod
    def _what(photo: Photo) -> str:
        return f"{photo.of.rpartition('.')[2].replace('_', ' ') or 'unit'}: {photo.caption or photo.name}"

    def _chosen(self) -> Photo | None:
        row = self.table.cursor_row
        return self._photos[row] if 0 <= row < len(self._photos) else None

    # ---- looking ----------------------------------------------------------------------------------------

    def on_data_table_row_highlighted(self, _event: DataTable.RowHighlighted) -> None:
        self._show_chosen()

    def on_thumbnail_resized(self, _message: Thumbnail.Resized) -> None:
        self._draw()

    def _show_chosen(self) -> None:
        photo, shop = self._chosen(), self.terminal.shop
        words = Text("")
        if photo:
            who = shop.called(photo.by) if shop else photo.by
            words.append("\n".join(part for part in (self._of_words(photo), photo.caption, photo.name) if part))
            words.append(f"\n{who}, {self._when(photo)}", style="dim")
            words.append(f"\n{KEPT_HERE}" if self._mark(photo) else "")
        self.query_one("#whole", Static).update(words)
        self._draw()

    def _of_words(self, photo: Photo) -> str:
        if self.view is None or not photo.of:
            return "of the unit"
        check, line = self.view.book.check(photo.of), self.view.unit.work.get(photo.of)
        return check.ask if check else f"{line.reference} {line.part}" if line else photo.of

    def _draw(self) -> None:
        """In a thread; a drawing that comes after a newer one was asked for is dropped."""
        picture, photo = self.query_one(Thumbnail), self._chosen()
        self._drawing += 1
        number = self._drawing
        if photo is None:
            picture.update("")
            return
        look, room, dark = self.workshop.photos.picture, picture.room, self.app.current_theme.dark

        def arrived(rows: Rows) -> None:
            if number == self._drawing and self.is_attached:
                picture.show(rows)

        self.terminal.errand(lambda: drawn(look(photo.sha256), room, dark), arrived)

    def on_data_table_row_selected(self, _event: DataTable.RowSelected) -> None:
        self.action_enlarge()

    def action_enlarge(self) -> None:
        beside = self.query_one("#photolist")
        beside.toggle_class("-away")
        if not beside.has_class("-away"):
            self.table.focus()

    # ---- doing ------------------------------------------------------------------------------------------

    def _done(self, said: str) -> Callable[[UnitView], None]:
        def done(view: UnitView) -> None:
            self.paint(view)
            self.tell(with_kept(said, view))

        return done

    def action_add(self) -> None:
        lines = [
            Line("files", "picture file", "its path, or n for the newest; several with ; between them"),
            Line("of", "of what", "a work line (Q3) or a check; empty: the unit", value=self._of, optional=True),
            Line("caption", "what it shows", optional=True),
        ]

        def act(values: Values) -> UnitView:
            files = picture_meant(values["files"])
            return self.workshop.photos.take(self.tag, self.terminal.by, files, values["of"], values["caption"])

        self.app.push_screen(SheetOfFields("Add a photo", lines, act, self._done("added")))

    def action_take_off(self) -> None:
        photo = self._need_chosen()
        if photo is None:
            return
        entry: UUID = photo.entry
        lines = [Line("why", "why it is taken off")]

        def act(values: Values) -> UnitView:
            return self.workshop.withdraw(self.tag, entry, self.terminal.by, values["why"])

        caution = "What was taken with it goes too. Off a check: the check is open again. The line itself stays."
        self.app.push_screen(
            SheetOfFields("Take a photo off", lines, act, self._done("taken off; the line stays"), caution=caution)
        )

    def action_save(self) -> None:
        if self._need_chosen() is None:
            return
        lines = [Line("folder", "into which folder")]

        def act(values: Values) -> int:
            from pathlib import Path

            return len(self.workshop.photos.save(self.tag, Path(values["folder"]).expanduser()))

        def done(count: int) -> None:
            self.tell(f"{many(count, 'photo')} written")

        self.app.push_screen(SheetOfFields("Write all photos out", lines, act, done))

    def _need_chosen(self) -> Photo | None:
        photo = self._chosen()
        if photo is None:
            self.terminal.refuse(InputError("There is no photo yet: a adds one."))
        return photo
