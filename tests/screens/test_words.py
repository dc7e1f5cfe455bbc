"""Words that skip a layout leave nothing in its way: what follows lies right below, whatever was said before."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from textual.app import App, ComposeResult

from traveller.screens.widgets.lines import Words

TEXTS = st.lists(st.text("ab \n", max_size=60), min_size=1, max_size=6)


class Two(App[None]):
    def compose(self) -> ComposeResult:
        yield Words("first", id="said")
        yield Words("below", id="below")


@settings(max_examples=10, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(TEXTS)
async def test_what_follows_lies_right_below(texts: list[str]) -> None:
    async with Two().run_test(size=(20, 30)) as pilot:
        said, below = pilot.app.query_one("#said", Words), pilot.app.query_one("#below", Words)
        for text in texts:
            said.update(text)
            await pilot.pause()
            assert below.region.y == said.region.height == said.get_content_height(said.size, said.size, 20)
