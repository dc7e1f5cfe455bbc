"""What an outgoing person has written and not yet signed. It lies in the terminal's folder, one file for each badge."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, ValidationError

from traveller.terminal import keep_words, kept_words


class Draft(BaseModel):
    """`remarks` and `left_out` go by the keys of the proposed items."""

    model_config = ConfigDict(frozen=True, extra="ignore")

    station: str = ""
    receiver: str = ""
    words: str = ""
    phone: str = ""
    remarks: dict[str, str] = {}
    left_out: tuple[str, ...] = ()

    def swapped(self, key: str) -> Draft:
        """The item left out, or taken in again."""
        kept = tuple(one for one in self.left_out if one != key)
        return self.model_copy(update={"left_out": kept if key in self.left_out else (*kept, key)})

    def remarked(self, key: str, text: str) -> Draft:
        others = {name: words for name, words in self.remarks.items() if name != key}
        return self.model_copy(update={"remarks": {**others, key: text} if text else others})

    def at(self, station: str) -> Draft:
        return self.model_copy(update={"station": station})

    def worded(self, receiver: str, words: str, phone: str) -> Draft:
        return self.model_copy(update={"receiver": receiver, "words": words, "phone": phone})

    def keep(self, by: str) -> None:
        """Written to disk before it returns; an empty draft takes the file away."""
        keep_words(_name(by), "" if self == Draft() else self.model_dump_json())


def kept_draft(by: str) -> Draft:
    """What this person wrote here and never signed; an empty draft when nothing is kept."""
    try:
        return Draft.model_validate_json(kept_words(_name(by)) or "{}")
    except ValidationError:
        return Draft()


def _name(by: str) -> str:
    return f"handover-{by or 'nobody'}.json"
