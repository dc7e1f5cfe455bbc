"""The terminal. The only room that knows Textual; it holds no rules, it shows findings and passes words on."""
