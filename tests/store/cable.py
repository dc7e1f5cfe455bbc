"""A cable between a terminal and its database that can be pulled and put in again."""

from __future__ import annotations

from sqlalchemy import Connection, event

from traveller.errors import Away
from traveller.store.workshop import Workshop


class Cable:
    def __init__(self, workshop: Workshop) -> None:
        self._workshop = workshop
        self.out = False
        event.listen(workshop.engine, "engine_connect", self._connect)

    def _connect(self, _connection: Connection) -> None:
        if self.out:
            raise Away("The cable is out: put it in.")

    def pull(self) -> None:
        self.out = True

    def put_in(self) -> None:
        self.out = False
        self._workshop.desk.lately.is_back()
