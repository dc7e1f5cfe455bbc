"""The terminal. The only room that knows Textual; it holds no rules, shows findings, passes words on."""
