"""Who may come in: every request is looked at here before anything else sees it. Pure, but for the types of aiohttp."""

from __future__ import annotations

from dataclasses import dataclass

from aiohttp import web

from traveller.serving.address import Address
from traveller.serving.token import cookie_of, same

SOCKET = "/ws"
READING = ("GET", "HEAD")
KNOWN_FOR_SECONDS = 30 * 24 * 3600
"""A month: then a tablet that nobody used has to be let in anew (common practice)."""
LINK_AGAIN = "Open the link that traveller serve printed when it was started; it holds the token."


@dataclass(frozen=True)
class Door:
    address: Address
    token: str

    @property
    def cookie(self) -> str:
        """Its name: browsers keep cookies by host and not by port, and two fronts may run on one machine."""
        prefix = "__Host-" if self.address.encrypted else ""
        return f"{prefix}traveller-{self.address.host.rpartition(':')[2].strip('[]')}"

    def refusal(self, request: web.BaseRequest) -> str:
        """Why this request is not let in, as a sentence; empty when it is."""
        return self._elsewhere(request) or ("" if self._known(request) else f"This browser is not known. {LINK_AGAIN}")

    def brings_token(self, request: web.BaseRequest) -> bool:
        return request.path == "/" and request.method == "GET" and "token" in request.query

    def token_refusal(self, request: web.BaseRequest) -> str:
        """The same for a request that brings the token of the link."""
        right = same(request.query.get("token", ""), self.token)
        return self._elsewhere(request) or (
            "" if right else f"The token in this link is not the right one. {LINK_AGAIN}"
        )

    def _elsewhere(self, request: web.BaseRequest) -> str:
        """Another name of this machine (DNS rebinding), or a page of somebody else that calls from a browser."""
        hosts = [one.casefold() for one in request.headers.getall("Host", [])]
        if hosts != [self.address.host]:
            return f"This is served at {self.address.origin} and under no other name."
        origins = request.headers.getall("Origin", [])
        must_say = request.path == SOCKET or request.method not in READING
        if origins != [self.address.origin] and (origins or must_say):
            return f"Only the page from {self.address.origin} itself may ask for this."
        return ""

    def _known(self, request: web.BaseRequest) -> bool:
        return same(request.cookies.get(self.cookie, ""), cookie_of(self.token))

    def let_in(self, response: web.StreamResponse) -> None:
        """From now on the browser shows the cookie; scripts cannot read it, and no other site makes it be sent."""
        response.set_cookie(
            self.cookie,
            cookie_of(self.token),
            max_age=KNOWN_FOR_SECONDS,
            path="/",
            secure=self.address.encrypted,
            httponly=True,
            samesite="Strict",
        )
