"""The terminal in a browser: who may come in, the page, and a program of its own for every open page."""
