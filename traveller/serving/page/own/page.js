"use strict";

// The terminal measures a character once, when it opens: its font has to be there by then.
const openTerminal = window.onload;
window.onload = async (event) => {
  document.getElementById("again").addEventListener("click", () => location.reload());
  await document.fonts.load('18px "Roboto Mono"');
  openTerminal(event);
};
