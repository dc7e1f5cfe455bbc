"use strict";

const line = () => document.querySelector(".xterm-helper-textarea");

// The terminal measures a character once, when it opens: its font has to be there by then.
const openTerminal = window.onload;
window.onload = async (event) => {
  document.getElementById("again").addEventListener("click", () => location.reload());
  await document.fonts.load('18px "Roboto Mono"');
  openTerminal(event);
  line().focus();
};

// A scanner types wherever the browser is: its first character brings the terminal back.
addEventListener("keydown", () => line()?.focus(), { capture: true });
