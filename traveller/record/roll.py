"""What the shop is called and who works there: all that has to be known before somebody is asked for a badge."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Annotated

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

from traveller.record.shop_entries import PersonEnrolled, PersonLeft, ShopNamed
from traveller.vocabulary import Role

ON_THE_ROLL = ("shop named", "person enrolled", "person left")
"""The kinds of entry that the roll is made of."""


class RollLine(BaseModel):
    """As much of an entry of these kinds as the roll says."""

    model_config = ConfigDict(frozen=True, extra="ignore", defer_build=True)

    at: AwareDatetime
    body: Annotated[ShopNamed | PersonEnrolled | PersonLeft, Field(discriminator="kind")]


@dataclass(frozen=True)
class Person:
    tag: str
    name: str
    roles: tuple[Role, ...]
    left: bool = False
    since: datetime | None = None

    def may(self, *roles: Role) -> bool:
        return not self.left and any(role in self.roles for role in roles)


@dataclass
class Roll:
    """Built entry by entry with `take`; everybody else only reads it."""

    name: str = ""
    zone: str = "UTC"
    demo: bool = False
    address: str = ""
    people: dict[str, Person] = field(default_factory=dict)

    def take(self, at: datetime, body: ShopNamed | PersonEnrolled | PersonLeft) -> None:
        match body:
            case ShopNamed(name=name, zone=zone, demo=demo, address=address):
                self.name, self.zone, self.demo, self.address = name, zone, demo, address
            case PersonEnrolled(tag=tag, name=name, roles=roles):
                self.people[tag] = Person(tag, name, roles, since=at)
            case PersonLeft(tag=tag) if tag in self.people:
                self.people[tag] = replace(self.people[tag], left=True)

    def present(self) -> list[Person]:
        return sorted((p for p in self.people.values() if not p.left), key=lambda p: p.name)

    def badge(self, text: str) -> Person | None:
        """Whose badge it is, of those who work here."""
        tag = text.strip().upper()
        return next((one for one in self.present() if one.tag == tag), None)
